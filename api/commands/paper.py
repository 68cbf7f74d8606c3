"""Commands that write a file for people or programs: label sheets, the description of the API."""

import json
from pathlib import Path

import labels
from api.app import openapi_document
from api.commands.opened import opened, replace, write
from api.labelling.minting import BY_SERVER, SheetOrder
from api.labelling.printing import print_sheet
from api.settings import Settings
from api.start_errors import NothingDone


async def print_labels(
    settings: Settings, asked: tuple[str | None, int, int, float | None], out: Path
) -> int:
    """Mint codes and write the sheet of a geometry, count, start and size as SheetOrder has them.
    The file is tried first, so that no code is wasted."""
    geometry, count, start, size_mm = asked
    order = SheetOrder(geometry or labels.DEFAULT.name, count, start, size_mm)
    part = out.with_name(f".{out.name}.part")
    async with opened(settings) as db:
        write(part, b"")
        try:
            parts, minted = await print_sheet(db, order, BY_SERVER)
            for page in parts:
                add(part, page)
            replace(part, out)
        finally:
            part.unlink(missing_ok=True)
    print(f"{order.count} labels, the first {labels.display(minted.codes[0])}, are in {out}")
    return 0


def add(path: Path, content: bytes) -> None:
    """Raises NothingDone where no more can be written."""
    try:
        with path.open("ab") as file:
            file.write(content)
    except OSError as error:
        raise NothingDone(f"{path} cannot be written: {error.strerror}.") from error


def openapi(settings: Settings, out: Path | None) -> int:
    """Write the OpenAPI document, the same bytes each time."""
    text = json.dumps(openapi_document(settings), indent=2, ensure_ascii=False) + "\n"
    if out is None:
        print(text, end="")
    else:
        write(out, text.encode())
    return 0
