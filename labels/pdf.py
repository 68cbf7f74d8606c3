"""A PDF written front to back: each page is given out as it is made, and is not kept.

Only what sheets of labels need: pages of one size, black shapes, one face. What a label says is
in Helvetica Bold, which every reader has, in the WinAnsi characters that it is made of. Structure
by ISO 32000-1: header, objects, a table of where each begins (7.5), viewer preferences (12.2).
"""

import unicodedata
import zlib
from typing import Final

from fpdf.fonts import CORE_FONTS_CHARWIDTHS

POINTS_PER_MM: Final = 72 / 25.4
CAPITAL_EM: Final = 0.718
"""Height of a capital of Helvetica Bold in ems, from the font's published metrics."""

_CATALOG, _PAGES, _FONT, _INFO, _FIRST_PAGE = 1, 2, 3, 4, 5
_WIDTHS: dict[str, int] = CORE_FONTS_CHARWIDTHS["helveticaB"]
_ESCAPED = str.maketrans({"\\": r"\\", "(": r"\(", ")": r"\)"})


class Pdf:
    """Give out `begin()`, then each `page(…)`, then `end()`: together they are the file.

    Pages are `width` by `height` mm, and the reader is asked not to scale them.
    """

    def __init__(self, width: float, height: float, title: str) -> None:
        self.size = f"{width * POINTS_PER_MM:.3f} {height * POINTS_PER_MM:.3f}"
        self.title = title
        self._at = 0
        self._begins: dict[int, int] = {}
        self._next = _FIRST_PAGE

    def begin(self) -> bytes:
        return self._given(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")

    def page(self, content: bytes) -> bytes:
        """A page of drawing operators, in points from the lower left corner."""
        packed = zlib.compress(content, 6)
        number, self._next = self._next, self._next + 2
        page = (
            f"<< /Type /Page /Parent {_PAGES} 0 R /MediaBox [0 0 {self.size}] "
            f"/Resources << /Font << /F {_FONT} 0 R >> >> /Contents {number + 1} 0 R >>"
        )
        head = f"<< /Length {len(packed)} /Filter /FlateDecode >>\nstream\n".encode()
        return self._object(number, page.encode()) + self._object(
            number + 1, head + packed + b"\nendstream"
        )

    def end(self) -> bytes:
        kids = " ".join(f"{n} 0 R" for n in range(_FIRST_PAGE, self._next, 2))
        count = (self._next - _FIRST_PAGE) // 2
        last = [
            (_CATALOG, f"<< /Type /Catalog /Pages {_PAGES} 0 R "
                       "/ViewerPreferences << /PrintScaling /None >> >>"),
            (_PAGES, f"<< /Type /Pages /Count {count} /Kids [{kids}] >>"),
            (_FONT, "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica-Bold "
                    "/Encoding /WinAnsiEncoding >>"),
            (_INFO, f"<< /Title ({self.title.translate(_ESCAPED)}) /Creator (Nubbin) >>"),
        ]  # fmt: skip
        return b"".join(self._object(number, text.encode()) for number, text in last) + (
            self._table()
        )

    def _object(self, number: int, body: bytes) -> bytes:
        self._begins[number] = self._at
        return self._given(b"%d 0 obj\n%s\nendobj\n" % (number, body))

    def _table(self) -> bytes:
        rows = "".join(f"{self._begins[n]:010d} 00000 n \n" for n in range(1, self._next))
        return (
            f"xref\n0 {self._next}\n0000000000 65535 f \n{rows}"
            f"trailer\n<< /Size {self._next} /Root {_CATALOG} 0 R /Info {_INFO} 0 R >>\n"
            f"startxref\n{self._at}\n%%EOF\n"
        ).encode()

    def _given(self, part: bytes) -> bytes:
        self._at += len(part)
        return part


def printable(text: str) -> str:
    """`text` in the characters that the face has: accents it lacks are dropped, other scripts too.

    A line break or a tab becomes a space.
    """
    plain = unicodedata.normalize("NFC", " ".join(text.split()))
    return "".join(_known(letter) for letter in plain).strip()


def width_em(text: str) -> float:
    """Width in ems of text that is `printable`."""
    return sum(_WIDTHS[chr(byte)] for byte in text.encode("cp1252")) / 1000


def line(text: str, x: float, y: float, capitals: float, squeeze: float) -> str:
    """Operators for one line: baseline at (x, y) points, capitals in mm, squeezed to a share."""
    escaped = text.translate(_ESCAPED)
    points = capitals / CAPITAL_EM * POINTS_PER_MM
    return f"BT /F {points:.3f} Tf {100 * squeeze:.2f} Tz {x:.3f} {y:.3f} Td ({escaped}) Tj ET\n"


def _known(letter: str) -> str:
    if _has_shape(letter):
        return letter
    return "".join(form for form in unicodedata.normalize("NFKD", letter) if _has_shape(form))


def _has_shape(letter: str) -> bool:
    try:
        [byte] = letter.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return byte >= 32 and chr(byte) in _WIDTHS
