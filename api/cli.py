"""The command `nubbin`. What cannot be done is said in a sentence, and the command ends with 2."""

import argparse
import asyncio
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from api.commands import command
from api.database_errors import DatabaseError
from api.https.choices import Https
from api.problems import ApiError
from api.settings import Settings, load_settings
from api.settings_file import KINDS
from api.start_errors import CannotStart

FAILED = 2
DEMO_PORT = 8765
if TYPE_CHECKING:
    Commands = argparse._SubParsersAction[argparse.ArgumentParser]


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 1 differences found, 2 not done."""
    args = _parser().parse_args(arguments)
    try:
        if args.command == "estimate":
            return int(command("estimate")(args.file))
        return asyncio.run(_run(args))
    except (CannotStart, DatabaseError, ApiError) as error:
        print(f"nubbin {args.command}: {error}", file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        return 0


async def _run(args: argparse.Namespace) -> int:
    if args.command == "demo":
        return int(await command("demo")(args.data, args.port, fill=not args.no_fill))
    given = {name: getattr(args, name, None) for name in KINDS}
    settings = load_settings(os.environ, args.data, **given)
    match args.command:
        case "serve":
            return int(await command("serve")(settings))
        case "init":
            return int(await command("init")(settings))
        case "migrate":
            return int(await command("migrate")(settings))
        case "replay":
            return int(await command("replay")(settings))
        case "link":
            return int(await command("link")(settings, args.staff))
        case "staff":
            return int(await command("staff")(settings))
        case "labels":
            order = args.geometry, args.count, args.start, args.size
            return int(await command("print_labels")(settings, order, args.out))
        case "openapi":
            return int(command("openapi")(settings, args.out))
        case _:
            return await _run_copies(args, settings)


async def _run_copies(args: argparse.Namespace, settings: Settings) -> int:
    match args.command:
        case "backup":
            return int(await command("backup")(settings, args.out))
        case "restore":
            return int(await command("restore")(settings, args.file, replace=args.replace))
        case "take-in":
            return int(await command("take_in")(settings, args.file))
        case _:
            return int(await command("new_epoch")(settings))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="nubbin", description="Labels, healing checks and days to ready for coral pieces."
    )
    sub = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _serve(_command(sub, "serve", "start the server on the data folder"))
    demo = _command(sub, "demo", "start a throw-away farm with invented records")
    demo.add_argument("--port", type=_port_number, default=DEMO_PORT)
    demo.add_argument("--no-fill", action="store_true", help="start it empty")
    _command(sub, "init", "make the data folder, its database and the owner's sign-in link")
    _command(sub, "migrate", "bring the database to this version's form")
    _command(sub, "replay", "work the stock out from the log again, and report differences")
    _command(sub, "staff", "print who there is, with the keys that records carry")
    link = _command(sub, "link", "print a new sign-in link")
    link.add_argument("--staff", metavar="KEY", help="whose; the owner's if not given")
    _labels(_command(sub, "labels", "print a sheet of labels with new codes to a PDF file"))
    _copies(sub)
    _estimate(sub)
    openapi = _command(sub, "openapi", "write the description of the server's addresses")
    openapi.add_argument("--out", type=Path, metavar="FILE", help="standard output if not given")
    return parser


def _command(sub: "Commands", name: str, words: str) -> argparse.ArgumentParser:
    parser = sub.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.")
    parser.add_argument("--data", type=Path, metavar="FOLDER", help="the data folder")
    return parser


def _serve(parser: argparse.ArgumentParser) -> None:
    """Each may stand in nubbin.toml in the data folder instead, under the same name."""
    add = parser.add_argument
    add("--host", help="address to listen on; 0.0.0.0 is every one of this machine")
    add("--port", type=_port_number, help="port for HTTP, 8000 if not set")
    add("--https", choices=get_args(Https), help="own authority, certificate files, or off")
    add("--https-port", type=_port_number, help="port for HTTPS, 8443 if not set")
    add("--name", help="the one name by which phones reach this machine, such as nubbin.local")
    add("--cert", type=_absolute, metavar="FILE", help="certificate with its chain (PEM)")
    add("--key", type=_absolute, metavar="FILE", help="its private key (PEM)")
    add("--behind-proxy", action="append", metavar="ADDRESS", help="believe this proxy; repeatable")
    add("--no-name-constraints", dest="name_constraints", action="store_const", const=False,
        help="make an authority that is not bound to local names")  # fmt: skip


def _copies(sub: "Commands") -> None:
    backup = _command(sub, "backup", "copy the whole farm to a file, while it is served or not")
    backup.add_argument("--out", type=Path, required=True, metavar="FILE.zip")
    restore = _command(sub, "restore", "put a backup back, checked, under a new epoch")
    restore.add_argument("file", type=Path, metavar="FILE.zip")
    restore.add_argument(
        "--replace", action="store_true", help="move the farm that is there aside, and keep it"
    )
    taken = _command(sub, "take-in", "take in an outbox that a phone saved, for a lead to admit")
    taken.add_argument("file", type=Path, metavar="FILE.json")
    _command(
        sub,
        "new-epoch",
        "after PostgreSQL was put back by its own tools, let phones send again what they hold",
    )


def _estimate(sub: "Commands") -> None:
    """It needs no data folder."""
    parser = sub.add_parser(
        "estimate",
        help="work out days to ready and shares lost from a table (CSV), as JSON",
        description="Days since the cut in columns left, right, outcome (ready, lost, healing: "
        "right empty), and if need be seen_alive, cut, group, count.",
    )
    parser.add_argument("file", type=Path, metavar="FILE.csv", help="- is standard input")


def _labels(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--count", type=_count, required=True, help="how many labels")
    parser.add_argument("--out", type=Path, required=True, metavar="FILE.pdf")
    parser.add_argument("--geometry", metavar="NAME")
    parser.add_argument("--start", type=int, default=1, help="first free position, from 1")
    parser.add_argument("--size", type=float, metavar="MM", help="the symbol's width in mm")


def _absolute(text: str) -> str:
    return str(Path(text).expanduser().absolute())


def _port_number(text: str) -> int:
    return _whole(text, 0, 65535)


def _count(text: str) -> int:
    # Imported here: no other command needs to wait for what draws labels.
    from api.labelling.minting import MOST_LABELS

    return _whole(text, 1, MOST_LABELS)


def _whole(text: str, least: int, most: int) -> int:
    if not text.isascii() or not text.isdigit() or not least <= int(text[:9]) <= most:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from {least} to {most}")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
