"""Two groups side by side in one plain sentence that a lead can act on. Pure."""

from api.healing.comparison_shapes import Diff, Odds, Sizes, Verdict
from api.healing.estimate import CUTS_FOR_INTERVAL, READY_FOR_INTERVAL
from api.healing.groups import Members
from api.healing.sentence import count_of
from api.healing.shapes import Unit
from api.records.fields import Endpoint

LEVEL = 0.05


def too_few(one: Members, other: Members, unit: Unit) -> str:
    """Why these two are not compared yet."""
    cuts = f"{count_of(one.cuts(), unit, f'{unit}s')} and {other.cuts()}"
    if min(one.cuts(), other.cuts()) < CUTS_FOR_INTERVAL:
        return (
            f"{one.name} and {other.name}: too little to compare them, {cuts}. It takes "
            f"{CUTS_FOR_INTERVAL} {unit}s on each side."
        )
    ready = f"{one.count('ready')} and {other.count('ready')} pieces ready"
    return (
        f"{one.name} and {other.name}: too little to compare them, {ready}. It takes "
        f"{READY_FOR_INTERVAL} on each side."
    )


def pair_sentence(
    one: Members, other: Members, verdict: Verdict, sizes: Sizes, odds: tuple[Odds, Odds],
    endpoint: Endpoint, confounders: list[str],
) -> str:  # fmt: skip
    """The size of the difference first, then how sure, then what to make of it."""
    goal = "ready" if endpoint == "sale" else "ready to be cut again"
    parts = [
        _days(sizes.days, goal),
        _share(sizes.ready, goal, sizes.at_day),
        _share(sizes.lost, "lost", sizes.at_day),
    ]
    said = "; ".join(part for part in parts if part is not None)
    return f"{one.name} beside {other.name}: {said}. {_meaning(verdict, odds, confounders)}"


def within_sentence(sizes: Sizes, endpoint: Endpoint) -> str:
    """What the draw shows, each mother's arms beside each other; it leads in a trial."""
    goal = "ready" if endpoint == "sale" else "ready to be cut again"
    parts = [_share(sizes.ready, goal, sizes.at_day), _share(sizes.lost, "lost", sizes.at_day)]
    if sizes.days is not None and sizes.days.least is not None:
        size = _signed(sizes.days.least, "earlier", "later", "day", "days") or "on the same day"
        limits = _limits(sizes.days, "earlier", "later", "days")
        parts.insert(0, f"those that got {goal} did so {size} on average (95 %: {limits})")
    said = "; ".join(part for part in parts if part is not None)
    return f"Within each mother, as it was drawn: {said}."


def _days(days: Diff | None, goal: str) -> str | None:
    """'half are ready 12 days earlier (95 %: 30 earlier to 6 later)'."""
    if days is None or (days.low is None and days.high is None and days.least is None):
        return f"the day half are {goal} is not known on both sides"
    limits = _limits(days, "earlier", "later", "days")
    if days.least is None or days.most is None:
        return f"half are {goal} {limits}"
    middle = (days.least + days.most) / 2.0
    size = _signed(middle, "earlier", "later", "day", "days")
    return f"half are {goal} {size or 'on the same day'} (95 %: {limits})"


def _share(share: Diff | None, what: str, day: int) -> str | None:
    """'by day 120, 8 more of a hundred ready (95 %: 5 fewer to 21 more)'."""
    if share is None or share.least is None or share.most is None:
        return None
    size = _signed((share.least + share.most) / 2.0, "fewer", "more", "", "")
    limits = _limits(share, "fewer", "more", "")
    return f"by day {day} {size or 'as many'} of a hundred {what} (95 %: {limits})"


def _limits(diff: Diff, less: str, more: str, unit: str) -> str:
    low = _signed(diff.low, less, more, "", "") or "0"
    high = _signed(diff.high, less, more, "", "") or "0"
    if diff.low is None and diff.high is None:
        return "nothing can be said"
    if diff.high is None:
        return _one_sided(diff.low or 0.0, (less, more), unit, least=True)
    if diff.low is None:
        return _one_sided(diff.high, (less, more), unit, least=False)
    return f"{low} to {high}"


def _one_sided(limit: float, words: tuple[str, str], unit: str, *, least: bool) -> str:
    """'at least 11 days earlier', 'no later', 'at most 7 days later'."""
    whole = round(limit)
    if whole == 0:
        return f"not {words[0] if least else words[1]}"
    beyond = (whole > 0) is least
    one = unit.removesuffix("s") if abs(whole) == 1 else unit
    size = _signed(limit, *words, one, one)
    return f"at {'least' if beyond else 'most'} {size}"


def _signed(value: float | None, less: str, more: str, one: str, many: str) -> str:
    """'12 days earlier'; '' for what rounds to nothing."""
    whole = 0 if value is None else round(value)
    if whole == 0:
        return ""
    unit = one if abs(whole) == 1 else many
    return " ".join(filter(None, (str(abs(whole)), unit, less if whole < 0 else more)))


def _meaning(verdict: Verdict, odds: tuple[Odds, Odds], confounders: list[str]) -> str:
    if verdict == "cannot-separate":
        return f"What of it is whose doing cannot be separated. {confounders[0]}"
    if verdict == "differs":
        sure = [
            word for word, one in zip(("readiness", "loss"), odds, strict=True)
            if one.several <= LEVEL
        ]  # fmt: skip
        return (
            f"The difference in {' and in '.join(sure)} is more than chance deals, also after "
            "correcting for all comparisons."
        )
    least = min(one.smallest for one in odds)
    if least > LEVEL:
        return (
            "With so few no difference could be told from chance: the smallest p that can come "
            f"out is {least:.2g}."
        )
    return "Chance alone deals such differences often: they are not told apart yet."
