"""Reading settings: each value of `nubbin.toml` and of the environment as the type it must have."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path

from api.start_errors import BadSettings

Value = str | int | list[str]
"""A switch is an int of the type bool."""
TEXT, NUMBER, SWITCH, TEXTS = "text in quotes", "a whole number, such as 8000", "true or false", (
    "a list of texts in quotes"
)  # fmt: skip
KINDS = {
    "database": TEXT,
    "host": TEXT,
    "port": NUMBER,
    "https": TEXT,
    "cert": TEXT,
    "key": TEXT,
    "https_port": NUMBER,
    "name": TEXT,
    "behind_proxy": TEXTS,
    "name_constraints": SWITCH,
}
"""Every setting, and how its value is written in the file."""


def read_file(path: Path) -> dict[str, Value]:
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


def read_environment(environment: Mapping[str, str]) -> dict[str, Value]:
    """The settings among the variables NUBBIN_*; an empty one counts as not set."""
    found: dict[str, Value] = {}
    for name, kind in KINDS.items():
        given = environment.get(f"NUBBIN_{name.upper()}")
        if given:
            found[name] = _from_text(name, kind, given)
    return found


def _typed(path: Path, text: str, name: str, value: object) -> Value:
    where = f"{path}, line {_line(text, name)}"
    if name not in KINDS:
        *most, last = KINDS
        raise BadSettings(
            f"{where}: there is no setting '{name}'. There are {', '.join(most)} and {last}."
        )
    match KINDS[name], value:
        case (kind, str()) if kind == TEXT:
            return value
        case (kind, bool()) if kind == SWITCH:
            return value
        case (kind, int()) if kind == NUMBER and not isinstance(value, bool):
            return value
        case (kind, list()) if kind == TEXTS and all(isinstance(one, str) for one in value):
            return [str(one) for one in value]
    raise BadSettings(f"{where}: '{name}' must be {KINDS[name]}.")


def _line(text: str, name: str) -> int:
    pattern = re.compile(rf"\s*\[?{re.escape(name)}\b")
    return next((n for n, row in enumerate(text.splitlines(), 1) if pattern.match(row)), 1)


def _from_text(name: str, kind: str, given: str) -> Value:
    if kind == NUMBER:
        return int(given) if re.fullmatch(r"[0-9]{1,9}", given) else given
    if kind == TEXTS:
        return [part.strip() for part in given.split(",") if part.strip()]
    if kind == SWITCH:
        if given.lower() not in ("true", "false"):
            raise BadSettings(f"NUBBIN_{name.upper()} is '{given}'. Write true or false.")
        return given.lower() == "true"
    return given
