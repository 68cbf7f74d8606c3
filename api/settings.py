"""Where this server keeps its data and on which address it listens.

Taken from the environment (NUBBIN_DATA, NUBBIN_DATABASE, NUBBIN_HOST, NUBBIN_PORT), else from
`nubbin.toml` in the data folder, else the defaults below. What belongs to the farm itself, such
as its time zone or the labels' address, is no setting of a machine: it stands in the log.
"""

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from api.start_errors import BadSettings

FILE = "nubbin.toml"
_POSTGRES = ("postgresql://", "postgres://")


@dataclass(frozen=True)
class Settings:
    """`database` empty means SQLite in the data folder; else a postgresql:// address."""

    data: Path
    database: str = ""
    host: str = "127.0.0.1"
    port: int = 8000

    @property
    def is_sqlite(self) -> bool:
        return not self.database

    @property
    def target(self) -> str | Path:
        """What the database is opened with: an address, or the file's path."""
        return self.database or self.data / "nubbin.sqlite"


def load_settings(
    environment: Mapping[str, str] = os.environ,
    data: Path | None = None,
    host: str | None = None,
    port: int | None = None,
) -> Settings:
    """Settings for a data folder, which need not exist yet; arguments win. Raises BadSettings."""
    folder = data or Path(environment.get("NUBBIN_DATA") or user_data_path("nubbin", False))
    folder = folder.expanduser().absolute()
    values = _file(folder / FILE)
    for name in ("database", "host", "port"):
        given = environment.get(f"NUBBIN_{name.upper()}")
        if given:
            values[name] = _number(given) if name == "port" else given
    return Settings(
        data=folder,
        database=_database(values.get("database", "")),
        host=host or str(values.get("host", "127.0.0.1")),
        port=_port(values.get("port", 8000)) if port is None else port,
    )


def _file(path: Path) -> dict[str, str | int]:
    """The file's settings, each of the right type; nothing where there is no file."""
    try:
        text = path.read_text("utf-8")
    except (FileNotFoundError, NotADirectoryError):
        return {}
    except OSError as error:
        raise BadSettings(
            f"{path} cannot be read: {error.strerror}. See who may read it."
        ) from error
    except UnicodeDecodeError as error:
        raise BadSettings(f"{path} is not UTF-8 text. Save it again as UTF-8.") from error
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadSettings(f"{path} is not TOML: {error}. Mend it there and start again.") from error
    return {name: _typed(path, text, name, value) for name, value in values.items()}


def _typed(path: Path, text: str, name: str, value: object) -> str | int:
    line = next(
        (
            n
            for n, row in enumerate(text.splitlines(), 1)
            if re.match(rf"\s*\[?{re.escape(name)}\b", row)
        ),
        1,
    )
    if name in ("database", "host") and isinstance(value, str):
        return value
    if name == "port" and isinstance(value, int) and not isinstance(value, bool):
        return value
    if name in ("database", "host", "port"):
        kind = "a whole number, such as 8000" if name == "port" else "text in quotes"
        raise BadSettings(f"{path}, line {line}: '{name}' must be {kind}.")
    raise BadSettings(
        f"{path}, line {line}: there is no setting '{name}'. There are database, host and port."
    )


def _number(text: str) -> int | str:
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else text


def _port(value: str | int) -> int:
    if isinstance(value, int) and 0 <= value <= 65535:
        return value
    raise BadSettings(f"The port is '{value}'. Give a whole number from 1 to 65535, such as 8000.")


def _database(value: str | int) -> str:
    address = str(value)
    if not address or address.startswith(_POSTGRES):
        return address
    raise BadSettings(
        "The database setting must be empty, for SQLite in the data folder, or an address that "
        "begins with postgresql://. The one given begins with neither."
    )
