"""Which QR symbol a label of a given width carries, and the symbol itself.

The version follows from the width, so that a module stays large enough to print and to see; then
the highest error correction that still holds the text is taken. Error correction protects the
data, not the three corner patterns: no level makes a symbol with a covered corner readable.
"""

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.main import QRCode
from qrcode.util import MODE_ALPHA_NUM, QRData

from labels.codes import LENGTH
from labels.errors import BadHost, DoesNotFit, HostMissing, HostTooLong

Correction = Literal["L", "M", "Q", "H"]
Matrix = list[list[bool]]

BORDER = 4
"""Modules of white on each side that ISO/IEC 18004 asks for."""

NARROWEST_MM = 8.0
ADDRESS_FROM_MM = 10.0

CAPACITY: dict[int, dict[Correction, int]] = {
    1: {"L": 25, "M": 20, "Q": 16, "H": 10},
    2: {"L": 47, "M": 38, "Q": 29, "H": 20},
    3: {"L": 77, "M": 61, "Q": 47, "H": 35},
    4: {"L": 114, "M": 90, "Q": 67, "H": 50},
}
"""Characters in alphanumeric mode by version and level: ISO/IEC 18004, table of data capacity."""

_LEVELS: dict[Correction, int] = {
    "L": ERROR_CORRECT_L,
    "M": ERROR_CORRECT_M,
    "Q": ERROR_CORRECT_Q,
    "H": ERROR_CORRECT_H,
}
_NAME = r"[A-Z0-9](?:[A-Z0-9-]*[A-Z0-9])?"
_HOST = re.compile(rf"{_NAME}(?:\.{_NAME})*(?::[0-9]{{1,5}})?", re.ASCII)
_ADDRESS_FRAME = len("HTTPS://") + len("/Q/") + LENGTH


class _Step(NamedTuple):
    from_mm: float
    versions: tuple[int, ...]


# A second version is taken only where the host does not fit the first at any level.
_STEPS = (
    _Step(15.0, (3, 4)),
    _Step(12.0, (3,)),
    _Step(ADDRESS_FROM_MM, (2,)),
    _Step(NARROWEST_MM, (1,)),
)


@dataclass(frozen=True)
class Plan:
    """A symbol chosen but not yet drawn. ``host`` is None where the bare code is carried."""

    width_mm: float
    version: int
    correction: Correction
    host: str | None

    @property
    def modules(self) -> int:
        """Modules on a side, without the border."""
        return 17 + 4 * self.version

    @property
    def module_mm(self) -> float:
        return self.width_mm / (self.modules + 2 * BORDER)

    def payload(self, code: str) -> str:
        """The text in the symbol: the address, or the bare code for the app's own scanner."""
        return code if self.host is None else f"HTTPS://{self.host}/Q/{code}"

    def matrix(self, code: str) -> Matrix:
        """Rows of modules, True for black, without the border."""
        return draw(self.payload(code), self.version, self.correction)


def version_for(width_mm: float) -> int:
    """The version that a symbol of this width (with its border) normally has."""
    return _step(width_mm).versions[0]


def clean_host(host: str) -> str:
    """The host as symbols carry it: upper case, which keeps them in alphanumeric mode."""
    cleaned = host.strip().upper()
    if not cleaned:
        raise HostMissing
    if not _HOST.fullmatch(cleaned):
        raise BadHost(host)
    return cleaned


@lru_cache(maxsize=256)
def choose(width_mm: float, host: str | None) -> Plan:
    """The symbol for a width in mm that includes the border of four modules.

    Below 10 mm the bare code is carried and the host may be None. Raises DoesNotFit under 8 mm,
    HostMissing, BadHost and HostTooLong where an address is carried.
    """
    versions = _step(width_mm).versions
    if width_mm < ADDRESS_FROM_MM:
        return Plan(width_mm, versions[0], "H", None)
    cleaned = clean_host(host or "")
    for version in versions:
        correction = _highest(version, _ADDRESS_FRAME + len(cleaned))
        if correction is not None:
            return Plan(width_mm, version, correction, cleaned)
    raise HostTooLong(cleaned, width_mm, CAPACITY[versions[-1]]["L"] - _ADDRESS_FRAME)


def draw(payload: str, version: int, correction: Correction) -> Matrix:
    """Modules of one symbol, without border, for a text of the alphanumeric mode.

    The mask is fixed: any of the eight decodes, and trying all of them takes ten times as long.
    """
    qr = QRCode(
        version=version, error_correction=_LEVELS[correction], mask_pattern=3, border=BORDER
    )
    qr.add_data(QRData(payload, mode=MODE_ALPHA_NUM))
    qr.make(fit=False)
    modules: Matrix = qr.modules
    return modules


def _step(width_mm: float) -> _Step:
    for step in _STEPS:
        if width_mm >= step.from_mm:
            return step
    raise DoesNotFit(
        f"A symbol {width_mm:g} mm wide cannot be printed finely enough to be read. "
        f"Make it at least {NARROWEST_MM:g} mm wide, its white border included."
    )


def _highest(version: int, length: int) -> Correction | None:
    levels: tuple[Correction, ...] = ("H", "Q", "M", "L")
    return next((level for level in levels if CAPACITY[version][level] >= length), None)
