"""Codes: issued, checked, printed and read back."""

import json
from itertools import product
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from labels.codes import A31, check_character, display, is_valid, make_code, parse
from labels.errors import CodeError, ForeignCode, WrongCheckCharacter
from tests.labels import make_fixtures
from tests.labels.make_fixtures import second_check

FIXTURE = json.loads(make_fixtures.PATH.read_text(encoding="utf-8"))
PAIRS = [(a, b) for a, b in product(A31, A31) if a != b]


def outcome(text: str) -> tuple[str, str | None, str | None]:
    try:
        code = parse(text)
    except WrongCheckCharacter as slip:
        return "slip", None, slip.shown
    except ForeignCode:
        return "foreign", None, None
    return "code", code, display(code)


@pytest.mark.parametrize("case", FIXTURE["cases"], ids=lambda case: case["name"])
def test_shared_cases(case: dict[str, str | None]) -> None:
    assert outcome(str(case["text"])) == (case["kind"], case["code"], case["display"])


def test_the_fixture_is_what_its_generator_writes() -> None:
    assert make_fixtures.PATH.read_text(encoding="utf-8") == make_fixtures.content()
    assert FIXTURE["alphabet"] == A31
    assert len(FIXTURE["cases"]) >= 60
    assert {case["kind"] for case in FIXTURE["cases"]} == {"code", "slip", "foreign"}


def test_the_alphabet_is_digits_and_letters_without_the_five_that_look_alike() -> None:
    everything = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    assert "".join(c for c in everything if c not in "01ILO") == A31


@given(st.text(A31, min_size=7, max_size=7))
def test_check_character_agrees_with_a_sum_of_weights(data: str) -> None:
    assert check_character(data) == second_check(data)


@pytest.mark.parametrize("seed", range(3))
def test_every_single_error_is_found(seed: int) -> None:
    """All positions and all pairs of characters; the check is linear, so that the other
    characters do not matter and a few random surroundings stand for all."""
    code = make_code(Random(seed))
    missed = [
        (at, wrong)
        for at in range(8)
        for wrong in A31
        if wrong != code[at] and is_valid(code[:at] + wrong + code[at + 1 :])
    ]
    assert missed == []


@pytest.mark.parametrize("distance", [1, 2])
def test_every_swap_is_found(distance: int) -> None:
    """Every pair of different characters at every place, neighbours and across one."""
    random, missed, tried = Random(distance), [], 0
    for (a, b), at in product(PAIRS, range(8 - distance)):
        code = with_pair(random, at, a, at + distance, b)
        assert is_valid(code)
        swapped = list(code)
        swapped[at], swapped[at + distance] = b, a
        tried += 1
        missed += [code] if is_valid("".join(swapped)) else []
    assert missed == []
    assert tried == 31 * 30 * (8 - distance)


def test_swaps_five_apart_are_the_known_limit() -> None:
    """2^5 = 1 (mod 31): the weights of characters five apart are equal."""
    code = with_pair(Random(5), 0, "2", 5, "Z")
    assert is_valid(code[5] + code[1:5] + code[0] + code[6:])


def test_the_hybrid_system_would_miss_single_errors_with_this_alphabet() -> None:
    """Why the pure system is used: the hybrid one doubles modulo 32 and is not one-to-one."""
    random, missed, tried = Random(0), 0, 0
    for _ in range(100):
        data = "".join(random.choices(A31, k=7))
        check = mod_37_36.calc_check_digit(data, alphabet=A31)
        for at, wrong in product(range(7), A31):
            if wrong != data[at]:
                tried += 1
                changed = data[:at] + wrong + data[at + 1 :]
                missed += mod_37_36.calc_check_digit(changed, alphabet=A31) == check
    assert missed / tried > 0.1


def with_pair(random: Random, i: int, a: str, j: int, b: str) -> str:
    """A valid code with ``a`` at ``i`` and ``b`` at ``j``; another place makes it valid."""
    free = next(k for k in range(8) if k not in (i, j))
    letters = random.choices(A31, k=8)
    letters[i], letters[j] = a, b
    return next(
        code for c in A31 if is_valid(code := "".join([*letters[:free], c, *letters[free + 1 :]]))
    )


def test_random_codes_are_valid_and_use_the_whole_alphabet() -> None:
    codes = [make_code() for _ in range(500)]
    assert all(map(is_valid, codes))
    assert set("".join(codes)) == set(A31)
    assert len(set(codes)) == 500


@given(st.text(A31, min_size=7, max_size=7))
def test_printed_form_reads_back(data: str) -> None:
    code = data + check_character(data)
    assert [parse(display(code)), parse(display(code).lower())] == [code, code]


@given(st.text())
def test_any_text_gives_a_valid_code_or_a_typed_error(text: str) -> None:
    try:
        result = parse(text)
    except CodeError as error:
        result = f"{error.text}: {error}"
    assert is_valid(result) or (result.startswith(text) and result.endswith("."))


def test_the_sentences_say_what_to_do() -> None:
    with pytest.raises(WrongCheckCharacter) as slip:
        parse("4jqz-kdm2")
    assert str(slip.value) == (
        "The code 4JQZ-KDM2 has a wrong or swapped character, so nothing was looked up. "
        "Compare it with the label, letter by letter, and type it again."
    )
    with pytest.raises(ForeignCode, match="not one of the farm's labels"):
        parse("HTTPS://SHOP.EXAMPLE/")
