"""Where this server keeps its data, on which address it listens, and how HTTPS comes about.

Taken from the command, else the environment (NUBBIN_DATA, NUBBIN_DATABASE, NUBBIN_HOST and so on),
else `nubbin.toml` in the data folder, else the defaults below. What belongs to the farm itself,
such as its time zone or the labels' address, is no setting of a machine: it stands in the log.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

from api.https import choices
from api.https.choices import Https
from api.settings_file import Value, read_environment, read_file
from api.start_errors import BadSettings

FILE = "nubbin.toml"
_POSTGRES = ("postgresql://", "postgres://")


@dataclass(frozen=True)
class Settings:
    """One machine's choices.

    database          empty means SQLite in the data folder; else a postgresql:// address
    https             'own': Nubbin's own authority; 'files': `cert` and `key`; 'off'
    name              the one name or fixed address by which phones reach this machine
    behind_proxy      addresses or networks whose X-Forwarded-Proto and -For are believed
    name_constraints  whether a new own authority is bound to local names and private addresses
    """

    data: Path
    database: str = ""
    host: str = "127.0.0.1"
    port: int = 8000
    https: Https = "off"
    cert: Path | None = None
    key: Path | None = None
    https_port: int = 8443
    name: str = ""
    behind_proxy: tuple[str, ...] = ()
    name_constraints: bool = True

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
    **given: Value | None,
) -> Settings:
    """Settings for a data folder, which need not exist yet; arguments win. Raises BadSettings."""
    folder = data or Path(environment.get("NUBBIN_DATA") or user_data_path("nubbin", False))
    folder = folder.expanduser().absolute()
    values = read_file(folder / FILE) | read_environment(environment)
    values |= {name: value for name, value in given.items() if value is not None}
    settings = Settings(
        data=folder,
        database=_database(values.get("database", "")),
        host=str(values.get("host", "127.0.0.1")),
        port=_port("port", values.get("port", 8000), 8000),
        https=choices.mode(values),
        cert=_path(folder, values.get("cert")),
        key=_path(folder, values.get("key")),
        https_port=_port("https_port", values.get("https_port", 8443), 8443),
        name=choices.stable_name(values.get("name", "")),
        behind_proxy=choices.proxies(values.get("behind_proxy", [])),
        name_constraints=bool(values.get("name_constraints", True)),
    )
    _check_together(settings)
    return settings


def _check_together(settings: Settings) -> None:
    if settings.https == "files" and not (settings.cert and settings.key):
        raise BadSettings(
            "https is 'files', so cert and key must both be given: the paths of the certificate "
            "and of its private key, each a PEM file."
        )
    if settings.https == "own":
        choices.check_own_name(settings.name, settings.name_constraints)
    if settings.https != "off" and settings.port == settings.https_port != 0:
        raise BadSettings(
            f"port and https_port are both {settings.port}. HTTP and HTTPS need one each, "
            "such as 8000 and 8443."
        )


def _port(name: str, value: Value, usual: int) -> int:
    if isinstance(value, int) and 0 <= value <= 65535:
        return value
    raise BadSettings(
        f"The {name.replace('_', ' ')} is '{value}'. "
        f"Give a whole number from 1 to 65535, such as {usual}."
    )


def _path(folder: Path, value: Value | None) -> Path | None:
    return folder / Path(str(value)).expanduser() if value else None


def _database(value: Value) -> str:
    address = str(value)
    if not address or address.startswith(_POSTGRES):
        return address
    raise BadSettings(
        "The database setting must be empty, for SQLite in the data folder, or an address that "
        "begins with postgresql://. The one given begins with neither."
    )
