"""What is printed beside a symbol: a caption under the code, a name over it; pages as a stream."""

from collections.abc import Iterator
from random import Random

import pytest

from labels.codes import display, make_code
from labels.errors import BadStart, DoesNotFit
from labels.geometry import DEFAULT, GEOMETRIES, Geometry, roll, round_roll
from labels.layout import arrange
from labels.lines import Words
from labels.pdf import printable
from labels.sheet import sheet_pages, sheet_pdf
from tests.labels import reading

HOST = "LABELS.EXAMPLE"
CODES = [make_code(Random(seed)) for seed in range(4)]


def printed(geometry: Geometry, words: Words, said: list[str]) -> tuple[bytes, str]:
    made = CODES[: len(said)]
    pdf = sheet_pdf(made, geometry, HOST, words=words, said=dict(zip(made, said, strict=True)))
    return pdf, "".join(reading.texts(pdf)).replace("\ufffe", "-").replace("\x02", "-")


@pytest.mark.parametrize("words", ["caption", "name"])
@pytest.mark.parametrize(
    "geometry",
    [*(GEOMETRIES[name] for name in ("a4-99.1x67.7", "a4-63.5x33.9", "letter-101.6x25.4")),
     roll(60, 40), roll(40, 40)],
    ids=lambda sheet: sheet.name,
)  # fmt: skip
def test_words_are_printed_within_the_label_and_the_code_stays(geometry: Geometry, words: Words):
    pdf, text = printed(geometry, words, ["Frag tray 12"])
    assert "Frag tray 12" in " ".join(text.split())
    assert display(CODES[0]) in text
    [found] = reading.decode(next(reading.pages(pdf, 300)))
    assert found.text == f"HTTPS://{HOST}/Q/{CODES[0]}"
    slot, ink = geometry.slot(1), geometry.ink_area()
    for left, top, right, bottom in inked_boxes(pdf):
        assert slot.x + ink.x - 0.05 <= left <= right <= slot.x + ink.x + ink.width + 0.05
        # Tails of letters such as g may reach below the line of a caption.
        assert slot.y + ink.y - 0.05 <= top <= bottom <= slot.y + ink.y + ink.height + 0.8


def inked_boxes(pdf: bytes) -> Iterator[reading.Edges]:
    scale = 300 / 25.4
    page = next(reading.pages(pdf, 300))
    box = page.point(lambda grey: 255 if grey < 128 else 0).getbbox()
    assert box is not None
    yield (box[0] / scale, box[1] / scale, box[2] / scale, box[3] / scale)


def test_a_name_is_tall_and_a_caption_is_not():
    big, usual = GEOMETRIES["a4-99.1x67.7"], arrange(DEFAULT, HOST, words="caption")
    name = arrange(big, HOST, words="name")
    assert (name.words_mm, name.plan.width_mm) == (10, 40)
    assert 2 <= usual.words_mm < usual.capitals_mm
    assert name.words_baseline() < min(name.baselines())
    assert usual.words_baseline() > max(usual.baselines())


def test_words_that_are_too_long_are_made_smaller_then_cut_off():
    _, text = printed(DEFAULT, "caption", ["Tray A1, B7", "north " * 30])
    assert "Tray A1, B7" in text
    assert "north north" in text
    assert "…" in text
    assert ("north " * 30).strip() not in text


def test_a_label_without_words_is_printed_as_it_would_be_with_them():
    pdf, text = printed(DEFAULT, "caption", ["", "B7"])
    assert text.count("B7") == 1
    assert len(reading.decode(next(reading.pages(pdf, 200)))) == 2


@pytest.mark.parametrize("words", ["caption", "name"])
@pytest.mark.parametrize("geometry", [GEOMETRIES["a4-17.8x10"], round_roll(16)])
def test_where_words_have_no_room_it_is_said(geometry: Geometry, words: Words):
    with pytest.raises(DoesNotFit, match=r"no room .* Choose a larger label"):
        arrange(geometry, HOST, words=words)


def test_letters_that_the_face_lacks_lose_their_accents_or_are_left_out():
    assert printable("Čajkovna  tray\n7") == "Cajkovna tray 7"
    assert printable("Größe – 5 µm (a\\b)") == "Größe – 5 µm (a\\b)"
    assert printable("水槽 3") == "3"
    # As some machines type it: the letter and its accent apart.
    assert printable("Gro\u0308ße") == "Größe"
    assert [printable(one) for one in ("№ Ⅳ", "ﬁlter", "25 ℃")] == ["No IV", "filter", "25 °C"]
    _, text = printed(DEFAULT, "caption", ["Größe (a\\b) 水槽"])
    assert "Größe (a\\b)" in text


def test_a_sheet_is_given_out_while_it_is_made():
    """No more than a page of codes is taken ahead of what has been given out."""
    taken = 0

    def codes() -> Iterator[str]:
        nonlocal taken
        random = Random(7)
        for _ in range(24 * 50):
            taken += 1
            yield make_code(random)

    parts, ahead = 0, []
    for _part in sheet_pages(codes(), host=HOST):
        parts += 1
        ahead.append(taken - 24 * max(0, parts - 1))
    assert parts == 1 + 50 + 1
    assert max(ahead) <= 25


def test_what_is_wrong_is_said_before_anything_is_given_out():
    with pytest.raises(BadStart):
        sheet_pages(CODES, host=HOST, start=25)
