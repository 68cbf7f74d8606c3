"""Two groups side by side in one plain sentence that a lead can act on. Pure.

'One beside Other: ' begins each of them, so that a screen may put it above as a title. Of the arms
of a trial there is another, as they were drawn.
"""

from math import ceil
from typing import NamedTuple

from api.healing.compare.counts import Count
from api.healing.comparison_shapes import Odds, Sizes, Verdict
from api.healing.difference_words import days_words, ready_and_lost, whole
from api.healing.estimate import CUTS_FOR_INTERVAL
from api.healing.proportions import clopper_pearson
from api.healing.sentence import count_of
from api.healing.shapes import Unit
from api.records.fields import Endpoint

LEVEL = 0.05


class Names(NamedTuple):
    """What the farm calls the two groups."""

    one: str
    other: str


class Sure(NamedTuple):
    """How sure a difference is, for ready and for lost, `made` p-values having been worked out."""

    ready: Odds
    lost: Odds
    made: int


def too_few(names: Names, cuts: tuple[int, int], unit: Unit) -> str:
    """Why these two are not compared yet."""
    seen = f"{count_of(cuts[0], unit, f'{unit}s')} beside {cuts[1]}"
    return (
        f"{_title(names)}too little to compare them yet, {seen}. It takes {CUTS_FOR_INTERVAL} "
        f"{unit}s on each side."
    )


def not_settled(names: Names) -> str:
    """Said where the arithmetic found no answer it could stand by."""
    return (
        f"{_title(names)}could not be worked out. The arithmetic did not settle on one answer for "
        "these pieces, so none is given. Look for wrong dates among them."
    )


def pair_sentence(
    names: Names, verdict: Verdict, sizes: Sizes, sure: Sure, endpoint: Endpoint, unit: Unit,
    confounders: list[str], drawn: Sizes | None = None,
) -> str:  # fmt: skip
    """The size of the difference first, then how sure, then what to make of it. `drawn`: sizes of
    the arms of a trial within each mother, which may show how large a difference is where both
    groups as they stand do not."""
    goal = _goal(endpoint)
    said = _joined(_days(sizes, goal), ready_and_lost(sizes, goal)) or _nothing(goal)
    shown = [one for one in (sizes, drawn) if one is not None]
    return f"{_title(names)}{said}. {_meaning(verdict, shown, sure, unit, confounders)}"


def drawn_sentence(drawn: Sizes, endpoint: Endpoint) -> str | None:
    """The arms of a trial beside each other within each mother; None where nothing is known. Days
    are here a mean over those that got ready."""
    goal = _goal(endpoint)
    words = None if drawn.days is None else days_words(drawn.days, " on average")
    days = None if words is None else f"those that got {goal} did so {words}"
    said = _joined(days, ready_and_lost(drawn, goal))
    return f"Within each mother, as it was drawn: {said}." if said else None


def none_lost(name: str, count: Count, day: int) -> str | None:
    """What may be promised of a group in which nothing was lost, each piece being its own cut:
    the exact limit, rounded up. None where some were lost."""
    if count.events:
        return None
    most = ceil(100.0 * clopper_pearson(0, count.known).high)
    of = "The only piece" if count.known == 1 else f"None of the {count.known} pieces"
    lost = "was not lost" if count.known == 1 else "was lost"
    return f"{of} of {name} {lost} by day {day}: at most {most} % of such pieces are (95 %)."


def _title(names: Names) -> str:
    return f"{names.one} beside {names.other}: "


def _goal(endpoint: Endpoint) -> str:
    return "ready" if endpoint == "sale" else "ready to be cut again"


def _days(sizes: Sizes, goal: str) -> str | None:
    words = None if sizes.days is None else days_words(sizes.days)
    return None if words is None else f"half are {goal} {words}"


def _nothing(goal: str) -> str:
    return f"neither the day half are {goal} nor any share can be compared yet"


def _joined(*parts: str | None) -> str:
    return "; ".join(part for part in parts if part is not None)


def _meaning(
    verdict: Verdict, shown: list[Sizes], sure: Sure, unit: Unit, confounders: list[str]
) -> str:
    if verdict == "cannot-separate":
        return f"What this comes of cannot be told. {confounders[0]}"
    if verdict == "differs":
        return _differs(shown, sure)
    least = min(1.0, sure.made * min(sure.ready.smallest, sure.lost.smallest))
    if least > LEVEL:
        return (
            f"With so few {unit}s no difference could be told from chance: the smallest p that "
            f"can come out is {least:.2g}, corrected for all comparisons."
        )
    if min(sure.ready.p, sure.lost.p) <= LEVEL:
        return (
            "Among so many comparisons chance alone makes one look like this often: they are not "
            "told apart yet."
        )
    return "Chance alone deals such differences often: they are not told apart yet."


def _differs(shown: list[Sizes], sure: Sure) -> str:
    found = [
        word for word, one in (("readiness", sure.ready), ("loss", sure.lost))
        if one.several <= LEVEL
    ]  # fmt: skip
    one = len(found) == 1
    said = (
        f"The {'difference' if one else 'differences'} in {' and in '.join(found)} "
        f"{'is' if one else 'are'} more than chance deals, also after correcting for all "
        "comparisons."
    )
    unclear = [word for word in found if not _sized(word, shown)]
    if not unclear:
        return said
    if len(unclear) < len(found):
        return f"{said} How large it is in {unclear[0]} stays open."
    return f"{said} How large {'it is' if one else 'they are'} stays open."


def _sized(word: str, shown: list[Sizes]) -> bool:
    """Whether any of the limits shown leaves out that there is no difference."""
    diffs = [
        diff for sizes in shown
        for diff in ((sizes.days, sizes.ready) if word == "readiness" else (sizes.lost,))
        if diff is not None
    ]  # fmt: skip
    return any(
        (diff.low is not None and whole(diff.low) > 0)
        or (diff.high is not None and whole(diff.high) < 0)
        for diff in diffs
    )
