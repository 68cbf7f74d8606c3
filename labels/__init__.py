"""QR labels for every base: the code, the symbol, the sheet.

``make_code`` issues a code, ``parse`` reads one back from a scan or a keyboard, ``sheet_pdf``
and ``label_png`` print it. Nothing here knows of a database, a server or a network.
"""

from labels.calibration import adjustment, calibration_pdf
from labels.codes import A31, check_character, display, is_valid, make_code, parse
from labels.errors import (
    BadHost,
    BadResolution,
    BadStart,
    BeyondAdjusting,
    CodeError,
    DoesNotFit,
    ForeignCode,
    GeometryError,
    HostError,
    HostMissing,
    HostTooLong,
    LabelError,
    NothingToPrint,
    PrintError,
    WillNotRead,
    WrongCheckCharacter,
)
from labels.geometry import (
    DEFAULT,
    GEOMETRIES,
    PAGES,
    Adjustment,
    Geometry,
    roll,
    round_roll,
)
from labels.image import label_png
from labels.layout import arrange
from labels.lines import Layout, Words
from labels.readability import Verdict, read_from_at_most_mm, verdict
from labels.sheet import sheet_pages, sheet_pdf
from labels.symbols import Plan, choose, clean_host

__all__ = [
    "A31",
    "DEFAULT",
    "GEOMETRIES",
    "PAGES",
    "Adjustment",
    "BadHost",
    "BadResolution",
    "BadStart",
    "BeyondAdjusting",
    "CodeError",
    "DoesNotFit",
    "ForeignCode",
    "Geometry",
    "GeometryError",
    "HostError",
    "HostMissing",
    "HostTooLong",
    "LabelError",
    "Layout",
    "NothingToPrint",
    "Plan",
    "PrintError",
    "Verdict",
    "WillNotRead",
    "Words",
    "WrongCheckCharacter",
    "adjustment",
    "arrange",
    "calibration_pdf",
    "check_character",
    "choose",
    "clean_host",
    "display",
    "is_valid",
    "label_png",
    "make_code",
    "parse",
    "read_from_at_most_mm",
    "roll",
    "round_roll",
    "sheet_pages",
    "sheet_pdf",
    "verdict",
]
