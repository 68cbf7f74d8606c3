"""What is said of a pair: word for word in single cases, and properties of all that can be said."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.healing.compare.counts import Count
from api.healing.comparison_shapes import Diff, Odds, Sizes
from api.healing.comparison_words import (
    LEVEL,
    Names,
    Sure,
    drawn_sentence,
    none_lost,
    not_settled,
    pair_sentence,
    too_few,
)

NAMES = Names("One", "Two")
SHARE = Diff(8.0, 8.0, -4.6, 21.0)
NOT = Sure(Odds(0.2, 0.4, 0.001), Odds(0.3, 0.4, 0.001), 2)


def said(days=None, ready=SHARE, lost=SHARE, verdict="not-told-apart", sure=NOT, drawn=None,
         endpoint="sale", because=()):  # fmt: skip
    return pair_sentence(
        NAMES, verdict, Sizes(90, days, ready, lost), sure, endpoint, "cut", list(because), drawn
    )


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (Diff(-25.0, -24.0, -57.0, 2.0),
         "half are ready 24 to 25 days earlier (95 %: 57 days earlier to 2 days later)"),
        (Diff(-13.4, -12.6, -30.4, 6.0),
         "half are ready 13 days earlier (95 %: 30 days earlier to 6 days later)"),
        (Diff(-1.0, 2.0, -9.0, -1.0),
         "half are ready 1 day earlier to 2 days later (95 %: 1 to 9 days earlier)"),
        (Diff(1.0, 1.0, 1.0, 1.0), "half are ready 1 day later (95 %: 1 day later)"),
        (Diff(None, None, 11.0, None), "half are ready at least 11 days later (95 %)"),
        (Diff(None, None, -9.0, 8.0), "half are ready 9 days earlier to 8 days later (95 %)"),
        (Diff(-20.0, -20.0, None, -3.0), "20 days earlier (95 %: at least 3 days earlier)"),
        (Diff(-20.0, -20.0, None, 1.0), "20 days earlier (95 %: at most 1 day later)"),
        (Diff(-20.0, -20.0, -31.0, None), "20 days earlier (95 %: at most 31 days earlier)"),
        (Diff(-20.0, -20.0, None, 0.2), "20 days earlier (95 %: not later)"),
        (Diff(20.0, 20.0, -0.2, None), "20 days later (95 %: not earlier)"),
        (Diff(0.0, 0.0, -3.0, 4.0),
         "half are ready on the same day (95 %: 3 days earlier to 4 days later)"),
        (Diff(4.0, 4.0, None, None), "half are ready 4 days later; by day 90"),
        (Diff(None, None, None, None), "One beside Two: by day 90, 8 more of a hundred are ready"),
        (None, "One beside Two: by day 90, 8 more of a hundred are ready"),
    ],
)  # fmt: skip
def test_days(days, words):
    assert words in said(days)


@pytest.mark.parametrize(
    ("ready", "lost", "words"),
    [
        (Diff(17.0, 17.0, 1.0, 32.0), Diff(-8.0, -8.0, -21.0, 5.0),
         "by day 90, 17 more of a hundred are ready (95 %: 1 to 32 more) and 8 fewer are lost "
         "(95 %: 21 fewer to 5 more)."),
        (Diff(-1.2, -0.8, -3.0, 0.0), Diff(1.0, 1.0, -2.0, 4.0),
         "by day 90, 1 fewer of a hundred is ready (95 %: 3 fewer to as many) and 1 more is lost "
         "(95 %: 2 fewer to 4 more)."),
        (Diff(0.2, -0.2, -3.0, 3.0), Diff(26.0, 32.0, 12.0, 51.0),
         "by day 90, as many of a hundred are ready (95 %: 3 fewer to 3 more) and 26 to 32 more "
         "are lost (95 %: 12 to 51 more)."),
    ],
)  # fmt: skip
def test_pieces_of_a_hundred(ready, lost, words):
    assert words in said(None, ready, lost)


SURE = Odds(0.001, 0.01, 0.0001)
UNSURE = Odds(0.2, 0.4, 0.0001)
APART, BOTH = Diff(9.0, 9.0, 3.0, 15.0), Diff(2.0, 2.0, -3.0, 8.0)


@pytest.mark.parametrize(
    ("ready", "lost", "sure", "words"),
    [
        (APART, BOTH, (SURE, UNSURE),
         "The difference in readiness is more than chance deals, also after correcting for all "
         "comparisons."),
        (BOTH, APART, (SURE, SURE),
         "The differences in readiness and in loss are more than chance deals, also after "
         "correcting for all comparisons. How large it is in readiness stays open."),
        (BOTH, BOTH, (SURE, SURE),
         "also after correcting for all comparisons. How large they are stays open."),
        (APART, BOTH, (UNSURE, SURE),
         "The difference in loss is more than chance deals, also after correcting for all "
         "comparisons. How large it is stays open."),
    ],
)  # fmt: skip
def test_what_differs_is_named_and_whether_its_size_is_known(ready, lost, sure, words):
    assert said(None, ready, lost, "differs", Sure(*sure, 2)).endswith(words)


def test_what_is_not_told_apart_says_why():
    often = "Chance alone deals such differences often: they are not told apart yet."
    many = (
        "Among so many comparisons chance alone makes one look like this often: they are not told "
        "apart yet."
    )
    few = (
        "With so few cuts no difference could be told from chance: the smallest p that can come "
        "out is 0.17, corrected for all comparisons."
    )
    assert said().endswith(often)
    near = Odds(0.02, 0.12, 0.001)
    assert said(sure=Sure(near, UNSURE, 6)).endswith(many)
    least = Odds(0.2, 1.0, 0.0286)
    assert said(sure=Sure(least, least, 6)).endswith(few)
    assert said(verdict="cannot-separate", because=["Every cut of One is of one mother."]).endswith(
        "What this comes of cannot be told. Every cut of One is of one mother."
    )


def test_arms_lead_as_they_were_drawn():
    drawn = Sizes(90, Diff(-5.0, -5.0, -8.0, -1.6), APART, None)
    assert drawn_sentence(drawn, "cut") == (
        "Within each mother, as it was drawn: those that got ready to be cut again did so 5 days "
        "earlier on average (95 %: 2 to 8 days earlier); by day 90, 9 more of a hundred are ready "
        "to be cut again (95 %: 3 to 15 more)."
    )
    assert said(BOTH, drawn=drawn, endpoint="cut") == said(BOTH, endpoint="cut")
    assert drawn_sentence(Sizes(90, None, None, None), "sale") is None


def test_a_size_that_only_the_draw_shows_is_not_called_open():
    drawn = Sizes(90, None, None, APART)
    apart = "The difference in loss is more than chance deals, also after correcting for all "
    sure = Sure(UNSURE, SURE, 2)
    assert said(None, BOTH, BOTH, "differs", sure, drawn).endswith(f"{apart}comparisons.")
    assert said(None, BOTH, BOTH, "differs", sure).endswith("How large it is stays open.")


def test_where_nothing_is_known_it_says_so():
    assert said(None, None, None).startswith(
        "One beside Two: neither the day half are ready nor any share can be compared yet. "
    )


def test_too_few():
    assert too_few(NAMES, (1, 3), "tank") == (
        "One beside Two: too little to compare them yet, 1 tank beside 3. It takes 4 tanks on "
        "each side."
    )


def test_none_lost_is_promised_with_its_exact_limit_rounded_up():
    """Clopper & Pearson: 1 - .025^(1/40) is .0881."""
    assert none_lost("One", Count(0, 40), 90) == (
        "None of the 40 pieces of One was lost by day 90: at most 9 % of such pieces are (95 %)."
    )
    assert none_lost("One", Count(1, 40), 90) is None


numbers = st.floats(-100.0, 100.0)
diffs = st.builds(
    lambda ends, limits: Diff(*((None, None) if ends is None else sorted(ends)), *limits),
    st.none() | st.tuples(numbers, numbers),
    st.tuples(st.none() | numbers, st.none() | numbers).map(
        lambda ends: tuple(sorted(ends)) if None not in ends else ends
    ),
)
sizes = st.builds(
    Sizes, st.integers(1, 400), st.none() | diffs, st.none() | diffs, st.none() | diffs
)
odds = st.builds(Odds, *[st.floats(0.0, 1.0)] * 3)
sures = st.builds(Sure, odds, odds, st.integers(2, 20))


MISSING = re.compile(r"nan|None(?! of the )|inf\b|-\d")
DOUBLED = re.compile(r"  | [.,;:]|[.,;:]{2}")
ONE = re.compile(r"\b1 (days|pieces|cuts|tanks)\b|\b0 (day|more|fewer)")


def is_plain(sentence: str) -> bool:
    """Whether it can be read out: nothing missing, nothing doubled, and one is one."""
    return (
        not any(bad.search(sentence) for bad in (MISSING, DOUBLED, ONE))
        and sentence.endswith(".")
        and sentence.count("(") == sentence.count(")")
        and all(part[0].isupper() or part[0].isdigit() for part in sentence.split(". "))
    )


def assert_plain(sentence: str) -> None:
    assert is_plain(sentence), sentence


@given(
    st.sampled_from(["differs", "not-told-apart", "cannot-separate"]), sizes, sures,
    st.sampled_from(["sale", "cut"]), st.sampled_from(["cut", "tank"]), st.none() | sizes,
)  # fmt: skip
def test_every_sentence_of_a_pair_can_be_read_out(verdict, found, sure, endpoint, unit, drawn):
    if min(sure.ready.several, sure.lost.several) > LEVEL and verdict == "differs":
        verdict = "not-told-apart"
    because = ["Every cut of One is of one mother."]
    words = pair_sentence(NAMES, verdict, found, sure, endpoint, unit, because, drawn)
    assert_plain(words)
    assert words.startswith("One beside Two: ")
    lead = None if drawn is None else drawn_sentence(drawn, endpoint)
    assert lead is None or is_plain(lead)


@given(st.tuples(st.integers(1, 9), st.integers(1, 9)), st.sampled_from(["cut", "tank"]),
       st.integers(1, 200))  # fmt: skip
def test_every_sentence_of_too_little_can_be_read_out(cuts, unit, known):
    for words in (too_few(NAMES, cuts, unit), not_settled(NAMES),
                  none_lost("One", Count(0, known), 90)):  # fmt: skip
        assert_plain(words)
