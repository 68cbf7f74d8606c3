"""A question about a trial's size, answered out of the stock, in numbers and plain words. Pure."""

from typing import NamedTuple

from api.healing.groups import grouped
from api.healing.sentence import count_of
from api.healing.stock import Stock
from api.planning.question import Question
from api.planning.shapes import Asked, SizeFor, TrialSize
from api.planning.spread import (
    LOST_BY,
    SeenDays,
    SeenShare,
    pieces_a_cut,
    seen_days,
    seen_share,
)
from api.planning.trial_size import MOST, Design, Spread, cuts_for_days, cuts_for_shares
from api.records.fields import Endpoint


class Basis(NamedTuple):
    """What is known: from the farm, else as typed, else None."""

    pieces: float | None
    share: float | None
    icc: float
    days: Spread | None
    seen: SeenShare | SeenDays | None
    lacking: list[Asked]
    """What the farm's records do not tell."""

    def untyped(self, question: Question) -> list[Asked]:
        """What is neither seen nor typed."""
        return [name for name in self.lacking if getattr(question, name) is None]


def size_of(question: Question, stock: Stock) -> TrialSize:
    """The whole answer. The question is a checked one."""
    basis = _basis(question, stock)
    open_still = basis.untyped(question)
    sizes = [] if open_still else [
        SizeFor(one, _cuts(question, basis, one)) for one in _around(question)
    ]  # fmt: skip
    spread = basis.days.within**0.5 if basis.days else None
    return TrialSize(
        question.endpoint, question.varies, question.arms, question.difference,
        "none" if open_still else "typed" if basis.lacking else "farm",
        basis.lacking, basis.pieces, basis.share, spread, _alike(basis), sizes,
        _sentence(question, basis, sizes), _notes(question, basis),
    )  # fmt: skip


def _basis(question: Question, stock: Stock) -> Basis:
    endpoint: Endpoint = "cut" if question.endpoint == "cut" else "sale"
    pieces = grouped(stock, "method", endpoint).all
    usual = pieces_a_cut(pieces, question.arms)
    lacking: list[Asked] = [] if usual is not None else ["pieces"]
    usual = usual if usual is not None else question.pieces
    typed = None if question.share is None else question.share / 100.0
    if question.endpoint == "lost":
        found = seen_share(pieces)
        if found is not None:
            return Basis(usual, found.share, found.icc, None, found, lacking)
        return Basis(usual, typed, 0.0, None, None, [*lacking, "share"])
    days = seen_days(pieces)
    if days is not None:
        return Basis(usual, 1.0 - days.ready, 0.0, days.spread, days, lacking)
    guess = None if question.spread is None else Spread(float(question.spread**2))
    return Basis(usual, typed, 0.0, guess, None, [*lacking, "share", "spread"])


def _cuts(question: Question, basis: Basis, difference: int) -> int | None:
    assert basis.pieces is not None
    assert basis.share is not None
    design = Design(question.arms, basis.pieces, question.varies == "method")
    if question.endpoint == "lost":
        return cuts_for_shares(design, basis.share, difference / 100.0, basis.icc)
    assert basis.days is not None
    return cuts_for_days(design, 1.0 - basis.share, float(difference), basis.days)


def _around(question: Question) -> list[int]:
    """Half of the difference, the difference, twice it; shares stay below a hundred."""
    most = 100 if question.endpoint == "lost" else 10**6
    asked = question.difference
    return sorted({one for one in (asked // 2, asked, 2 * asked) if 1 <= one <= most})


def _alike(basis: Basis) -> float | None:
    if basis.seen is None:
        return None
    if basis.days is None:
        return basis.icc
    total = basis.days.within + basis.days.between
    return basis.days.between / total if total else 0.0


def _sentence(question: Question, basis: Basis, sizes: list[SizeFor]) -> str:
    words = {"pieces": "the pieces a cut gives", "share": "the share lost",
             "spread": "how far apart the pieces of one mother become ready"}  # fmt: skip
    if open_still := basis.untyped(question):
        *some, last = (words[one] for one in open_still)
        unknown = f"{', '.join(some)} and {last}" if some else last
        return (
            f"The farm's records do not tell yet {unknown}, so no number of cuts is "
            "given. Type what you reckon with and it is worked out from that."
        )
    unit = "in a hundred" if question.endpoint == "lost" else "days"
    found = next(one.cuts for one in sizes if one.difference == question.difference)
    asked = f"{question.difference} {unit}"
    if found is not None:
        return f"{found} cuts show a difference of {asked} four times in five."
    if question.endpoint == "lost" and question.difference / 100.0 > max(
        basis.share or 0.0, 1.0 - (basis.share or 0.0)
    ):
        return f"No share lies {asked} from {basis.share:.0%} lost. Write a smaller difference."
    return f"It takes more than {MOST} cuts to show a difference of {asked}: too many to plan."


def _notes(question: Question, basis: Basis) -> list[str]:
    return [note for note in (
        _rests_on(question, basis), _cancels(question, basis), _uneven(question), _pairs(question),
        "Worked out for a two-sided test at 5 % that finds what is there in 80 of 100 such trials: "
        "the t test of the differences within mothers.",
    ) if note is not None]  # fmt: skip


def _rests_on(question: Question, basis: Basis) -> str | None:
    if basis.untyped(question):
        return None
    lost = f"{basis.share:.0%} lost"
    each = f"{basis.pieces:.1f} pieces a cut"
    what = f"{each} and {lost}"
    if basis.days is not None:
        what = f"{each}, {lost} and {basis.days.within**0.5:.0f} days among one mother's pieces"
    if basis.seen is None:
        return (
            f"Reckoned with {what}, in part as typed: the farm has seen too little. With a typed "
            "guess nothing of a mother's own part is taken to cancel, which errs towards more cuts."
        )
    cuts, pieces = count_of(basis.seen.cuts, "cut", "cuts"), basis.seen.pieces
    until = f"watched to day {LOST_BY}" if basis.days is None else "whose pieces had time to heal"
    typed = " Pieces a cut are as typed." if basis.lacking else ""
    return f"Reckoned with {what}, from {cuts} and {pieces} pieces here, {until}.{typed}"


def _cancels(question: Question, basis: Basis) -> str | None:
    alike = _alike(basis)
    if question.varies == "method":
        return (
            "A method is drawn for a whole part of a mother. How unlike two parts of one mother "
            "are was never seen here, so they are taken to differ as much as two cuts do: the "
            "careful number."
        )
    if alike is None:
        return None
    return (
        "Arms are drawn within each mother, so what makes one mother heal unlike another falls "
        f"out of the difference: here {alike:.0%} of the variance between pieces."
    )


def _uneven(question: Question) -> str | None:
    if question.endpoint == "lost":
        return None
    return "Days are compared as the mean day of the pieces that became ready; count the lost too."


def _pairs(question: Question) -> str | None:
    if question.arms < 3:
        return None
    pairs = question.arms * (question.arms - 1) // 2
    return f"{question.arms} arms make {pairs} pairs; each is tested at 5 % divided by {pairs}."
