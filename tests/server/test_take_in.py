"""`nubbin take-in` and `nubbin staff`: a phone's saved outbox, and who there is."""

import asyncio
import base64
import errno
import hashlib
import io
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from api.cli import main
from api.photos.local_store import LocalStore
from api.photos.store import Size
from api.settings import Settings
from tests.server.server_farm import prepare
from tests.sync.phone import Phone


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    asyncio.run(prepare(Settings(data=tmp_path), links=0))
    return tmp_path


def picture(size: tuple[int, int] = (40, 30)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "tan").save(out, "JPEG")
    return out.getvalue()


def saved(folder: Path, records: list[Any], photos: list[bytes] = []) -> Path:  # noqa: B006
    found = [{"sha256": hashlib.sha256(one).hexdigest(), "bytes": len(one), "media": "image/jpeg",
              "base64": base64.b64encode(one).decode()} for one in photos]  # fmt: skip
    path = folder / "outbox.json"
    path.write_text(json.dumps({
        "nubbin": "outbox", "v": 1, "epoch": "e" * 32, "staff": None, "skew_ms": 0,
        "device": {"id": "device.lost", "name": "Lost phone"}, "saved_at": "2026-03-01T10:00:00Z",
        "sent": {"at": "2026-03-01T10:00:00.000Z"}, "records": records, "photos": found,
    }))  # fmt: skip
    return path


def rows(farm: Path, sql: str) -> list[tuple[Any, ...]]:
    connection = sqlite3.connect(farm / "nubbin.sqlite")
    found = connection.execute(sql).fetchall()
    connection.close()
    return found


def test_a_saved_outbox_goes_to_quarantine_with_its_photos(
    farm: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    phone, jpeg = Phone("device.lost"), picture()
    body = {"sha256": hashlib.sha256(jpeg).hexdigest(), "bytes": len(jpeg), "media": "image/jpeg"}
    made = [phone.make("note", ("item", "settings"), {"text": str(n)}) for n in range(600)]
    made.append(phone.make("photo", ("item", "settings"), body))
    path = saved(farm, [*made, {"id": "none"}], [jpeg, b"no photo that a record names"])
    assert main(["take-in", str(path), "--data", str(farm)]) == 1
    said = capsys.readouterr().out.splitlines()
    assert said[-1] == (
        "From Lost phone: 601 records wait for a lead to admit them, 0 were here already, "
        "1 could not be taken; 1 photos kept, 1 could not be."
    )
    assert rows(farm, "SELECT why, COUNT(*) FROM quarantine GROUP BY why") == [("taken-in", 601)]
    assert rows(farm, "SELECT state FROM photo") == [("kept",)]
    assert rows(farm, "SELECT what, detail FROM audit WHERE what = 'taken-in' ORDER BY id") == [
        ("taken-in", '{"count":500}'), ("taken-in", '{"count":101}'),
    ]  # fmt: skip
    assert main(["take-in", str(saved(farm, made, [jpeg])), "--data", str(farm)]) == 0
    assert rows(farm, "SELECT COUNT(*) FROM quarantine") == [(601,)]


def test_a_full_disk_stops_no_other_photo_and_is_counted(
    farm: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first of two photos finds no room; nothing of the file is lost."""
    phone = Phone("device.lost")
    photos = [picture(), picture((30, 40))]
    made = [
        phone.make("photo", ("item", "settings"), {
            "sha256": hashlib.sha256(one).hexdigest(), "bytes": len(one), "media": "image/jpeg",
        })
        for one in photos
    ]  # fmt: skip
    path, put, room = saved(farm, made, photos), LocalStore.put, iter([False])

    async def full_at_first(self: LocalStore, sha256: str, size: Size, jpeg: bytes) -> None:
        if not next(room, True):
            raise OSError(errno.ENOSPC, "No space left on device")
        await put(self, sha256, size, jpeg)

    monkeypatch.setattr(LocalStore, "put", full_at_first)
    assert main(["take-in", str(path), "--data", str(farm)]) == 1
    first, last = capsys.readouterr().out.splitlines()
    assert first.startswith("A photo was not kept, and stays in the file: ")
    assert last.endswith("0 could not be taken; 1 photos kept, 1 could not be.")
    assert main(["take-in", str(path), "--data", str(farm)]) == 0
    assert rows(farm, "SELECT DISTINCT state FROM photo") == [("kept",)]


def test_half_an_emoji_spoils_no_file(farm: Path, capsys: pytest.CaptureFixture[str]) -> None:
    phone = Phone("device.lost")
    made = [phone.make("note", ("item", "settings"), {"text": t}) for t in ("HALF", "whole")]
    path = saved(farm, made)
    path.write_text(path.read_text().replace("HALF", "\\ud83d"))
    assert main(["take-in", str(path), "--data", str(farm)]) == 0
    assert "2 records wait for a lead" in capsys.readouterr().out


@pytest.mark.parametrize("content", ["", "piece,stage", '{"nubbin": "other"}', "[" * 100_000])
def test_a_file_that_is_none_takes_nothing(
    farm: Path, content: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (farm / "outbox.json").write_text(content)
    assert main(["take-in", str(farm / "outbox.json"), "--data", str(farm)]) == 2
    assert "is not a whole outbox that Nubbin saved" in capsys.readouterr().err
    assert main(["take-in", str(farm / "none.json"), "--data", str(farm)]) == 2
    assert "cannot be read: No such file" in capsys.readouterr().err
    assert rows(farm, "SELECT COUNT(*) FROM quarantine") == [(0,)]


def test_who_there_is(farm: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["staff", "--data", str(farm)]) == 0
    [(key,)] = rows(farm, "SELECT id FROM staff")
    assert capsys.readouterr().out == f"{key:24} owner   Owner\n"
