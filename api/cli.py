"""The command `nubbin`. What cannot be done is said in a sentence, and the command ends with 2."""

import argparse
import asyncio
import sys
from pathlib import Path

from api import commands
from api.database_errors import DatabaseError
from api.labels_mint import SheetOrder
from api.problems import ApiError
from api.settings import load_settings
from api.start_errors import CannotStart

FAILED = 2
DEMO_PORT = 8765


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 1 differences found, 2 not done."""
    args = _parser().parse_args(arguments)
    try:
        return asyncio.run(_run(args))
    except (CannotStart, DatabaseError, ApiError) as error:
        print(f"nubbin {args.command}: {error}", file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        return 0


async def _run(args: argparse.Namespace) -> int:
    if args.command == "demo":
        return await commands.demo(args.data, args.port, fill=not args.no_fill)
    settings = load_settings(data=args.data, host=getattr(args, "host", None), port=_port(args))
    match args.command:
        case "serve":
            return await commands.serve(settings)
        case "init":
            return await commands.init(settings)
        case "migrate":
            return await commands.migrate(settings)
        case "replay":
            return await commands.replay(settings)
        case "link":
            return await commands.link(settings, args.staff)
        case "labels":
            order = SheetOrder(args.geometry, args.count, args.start, args.size)
            return await commands.print_labels(settings, order, args.out)
        case _:
            return commands.openapi(settings, args.out)


def _port(args: argparse.Namespace) -> int | None:
    port: int | None = getattr(args, "port", None)
    return port


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="nubbin", description="Labels, healing checks and days to ready for coral pieces."
    )
    sub = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    serve = _command(sub, "serve", "start the server on the data folder")
    serve.add_argument("--host", help="address to listen on; 0.0.0.0 is every one of this machine")
    serve.add_argument("--port", type=_port_number, help="port to listen on, 8000 if not set")
    demo = _command(sub, "demo", "start a throw-away farm with invented records")
    demo.add_argument("--port", type=_port_number, default=DEMO_PORT)
    demo.add_argument("--no-fill", action="store_true", help="start it empty")
    _command(sub, "init", "make the data folder, its database and the owner's sign-in link")
    _command(sub, "migrate", "bring the database to this version's form")
    _command(sub, "replay", "work the stock out from the log again, and report differences")
    link = _command(sub, "link", "print a new sign-in link")
    link.add_argument("--staff", metavar="KEY", help="whose; the owner's if not given")
    _labels(_command(sub, "labels", "print a sheet of labels with new codes to a PDF file"))
    openapi = _command(sub, "openapi", "write the description of the server's addresses")
    openapi.add_argument("--out", type=Path, metavar="FILE", help="standard output if not given")
    return parser


def _command(
    sub: "argparse._SubParsersAction[argparse.ArgumentParser]", name: str, words: str
) -> argparse.ArgumentParser:
    command = sub.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.")
    command.add_argument("--data", type=Path, metavar="FOLDER", help="the data folder")
    return command


def _labels(command: argparse.ArgumentParser) -> None:
    command.add_argument("--count", type=_count, required=True, help="how many labels")
    command.add_argument("--out", type=Path, required=True, metavar="FILE.pdf")
    command.add_argument("--geometry", default=commands.DEFAULT_GEOMETRY, metavar="NAME")
    command.add_argument("--start", type=int, default=1, help="first free position, from 1")
    command.add_argument("--size", type=float, metavar="MM", help="the symbol's width in mm")


def _port_number(text: str) -> int:
    return _whole(text, 0, 65535)


def _count(text: str) -> int:
    return _whole(text, 1, 5000)


def _whole(text: str, least: int, most: int) -> int:
    if not text.isascii() or not text.isdigit() or not least <= int(text[:9]) <= most:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from {least} to {most}")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
