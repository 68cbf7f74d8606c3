"""Ten thousand labels as one PDF, against the plain way of making the same file.

The plain way uses the same two libraries on the same layout: automatic choice of the mask and a
rectangle for each black module. Both are timed in one run by the processor time of this process,
so that other work on the machine does not count, and every label of both files is decoded again.
Memory is Python's own highest use while the sheet is given out in parts, as the server sends it;
the parts are counted and let go of.
"""

import tracemalloc
from collections import Counter
from collections.abc import Callable
from random import Random
from time import process_time

from fpdf import FPDF
from qrcode.constants import ERROR_CORRECT_H
from qrcode.main import QRCode

from labels.codes import display, make_code
from labels.geometry import DEFAULT
from labels.layout import arrange
from labels.pdf import CAPITAL_EM, POINTS_PER_MM
from labels.sheet import sheet_pages, sheet_pdf
from tests.bench.measure import Measure
from tests.labels import reading

COUNT = 10_000
HOST = "LABELS.EXAMPLE"
DECODE_DPI = 200


def plain_pdf(codes: list[str]) -> bytes:
    """The same labels at the same places, without a fixed mask and without merging."""
    layout = arrange(DEFAULT, HOST)
    module = layout.plan.module_mm
    pdf = FPDF(unit="mm", format=(DEFAULT.page_width, DEFAULT.page_height))
    pdf.set_auto_page_break(False)
    pdf.set_font("Helvetica", "B", layout.capitals_mm / CAPITAL_EM * POINTS_PER_MM)
    for index, code in enumerate(codes):
        if index % DEFAULT.positions == 0:
            pdf.add_page()
        slot = DEFAULT.slot(index % DEFAULT.positions + 1)
        x, y = slot.x + layout.symbol.x, slot.y + layout.symbol.y
        qr = QRCode(version=layout.plan.version, error_correction=ERROR_CORRECT_H)
        qr.add_data(layout.plan.payload(code))
        for row, modules in enumerate(qr.get_matrix()):
            for column, black in enumerate(modules):
                if black:
                    pdf.rect(x + column * module, y + row * module, module, module, "F")
        pdf.text(slot.x + layout.text.x, slot.y + layout.baselines()[0], display(code))
    return bytes(pdf.output())


def measures() -> list[Measure]:
    random = Random(20240229)
    codes = [make_code(random) for _ in range(COUNT)]
    ours, seconds = timed(lambda: sheet_pdf(codes, DEFAULT, HOST))
    plain, plain_seconds = timed(lambda: plain_pdf(codes))
    peak, longest = streamed(codes)
    return [
        Measure(f"{COUNT} labels as PDF", seconds, None, "s", "lower"),
        Measure(f"{COUNT} labels the plain way", plain_seconds, None, "s", "lower"),
        Measure("labels, time against the plain way", seconds / plain_seconds, 0.5, "", "lower"),
        Measure("labels, size of the file", len(ours) / 1e6, None, "MB", "lower"),
        Measure("labels, memory while it streams", peak / 1e6, None, "MB", "lower"),
        Measure("labels, its longest part", longest / 1e3, None, "kB", "lower"),
        Measure("labels, file against the plain way", len(ours) / len(plain), None, "", "lower"),
        Measure(f"labels decoded in their slots of {COUNT}", in_place(ours, codes), COUNT, "",
                "higher"),
        Measure(f"plain labels decoded of {COUNT}", in_place(plain, codes), COUNT, "", "higher"),
    ]  # fmt: skip


def timed(work: Callable[[], bytes]) -> tuple[bytes, float]:
    start = process_time()
    result = work()
    return result, process_time() - start


def streamed(codes: list[str]) -> tuple[int, int]:
    """Highest use of memory in bytes while the sheet is given out, and its longest part."""
    tracemalloc.start()
    longest = max(len(part) for part in sheet_pages(codes, DEFAULT, HOST))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak, longest


def in_place(pdf: bytes, codes: list[str]) -> int:
    """How many labels decode to their own address with the middle of the symbol in their slot."""
    scale, right = DECODE_DPI / 25.4, 0
    for page_index, page in enumerate(reading.pages(pdf, DECODE_DPI)):
        found = Counter(
            (position_at(symbol.x / scale, symbol.y / scale), symbol.text)
            for symbol in reading.decode(page)
        )
        first = page_index * DEFAULT.positions
        for position, code in enumerate(codes[first : first + DEFAULT.positions], 1):
            right += found[(position, f"HTTPS://{HOST}/Q/{code}")] == 1
    return right


def position_at(x: float, y: float) -> int:
    row = int((y - DEFAULT.top) // DEFAULT.pitch_y)
    column = int((x - DEFAULT.left) // DEFAULT.pitch_x)
    return row * DEFAULT.columns + column + 1


if __name__ == "__main__":
    for measure in measures():
        print(measure.line())
