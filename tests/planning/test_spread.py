"""The farm's own spread: an analysis of variance done a second way, and truths found again."""

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.stats import f_oneway

from api.healing.groups import Members
from api.planning.spread import pieces_a_cut, seen_days, seen_share, variances
from api.planning.trial_size import Design, Spread, cuts_for_days
from tests.healing.watched import Watch, groups_of
from tests.planning.simulated_trials import Days, found_share


def members(*cuts: tuple[int, list[Watch]]) -> Members:
    """Cuts, each with its age in days and its pieces."""
    return groups_of(("all", list(cuts)))[0]


@dataclass(frozen=True)
class Truth:
    """Days until ready are normal; a piece is lost with its cut's own beta share."""

    day: float = 110.0
    within: float = 900.0
    between: float = 400.0
    lost: float = 0.2
    icc: float = 0.15
    pieces: int = 8

    def farm(self, cuts: int, random: np.random.Generator, gap: int = 7) -> Members:
        share = random.beta(*((1 / self.icc - 1) * np.array([self.lost, 1 - self.lost])), cuts)
        found = []
        for cut in range(cuts):
            middle = random.normal(self.day, self.between**0.5)
            days = random.normal(middle, self.within**0.5, self.pieces)
            age, first = int(random.integers(60, 400)), int(random.integers(1, gap + 1))
            gone = random.random(self.pieces) < share[cut]
            found.append((age, [
                self._seen(max(1.0, day), lost, age, first, gap)
                for day, lost in zip(days, gone, strict=True)
            ]))  # fmt: skip
        return members(*found)

    @staticmethod
    def _seen(day: float, lost: bool, age: int, first: int, gap: int) -> Watch:
        day = 30.0 if lost else day
        look = first + gap * int(np.ceil(max(0.0, day - first) / gap))
        if look > age:
            last = first + gap * ((age - first) // gap)
            return Watch("healing", last, last)
        return Watch("lost" if lost else "ready", max(0, look - gap), look)


def test_variances_are_those_of_a_library() -> None:
    """scipy's one-way analysis gives the ratio of mean squares; numpy the pooled variance."""
    random = np.random.default_rng(3)
    cuts = [random.normal(random.normal(100, 20), 30, size).tolist() for size in (3, 5, 8, 2, 6)]
    found = variances(cuts)
    assert found is not None
    counts = np.array([len(cut) for cut in cuts])
    within = sum(np.var(cut, ddof=1) * (len(cut) - 1) for cut in cuts) / (counts.sum() - 5)
    usual = (counts.sum() - (counts**2).sum() / counts.sum()) / 4
    between = (f_oneway(*cuts).statistic - 1) * within / usual
    assert found == pytest.approx(Spread(within, max(0.0, between)))


def test_a_large_farms_truth_is_found_again() -> None:
    truth = Truth()
    farm = truth.farm(600, np.random.default_rng(7))
    days, share = seen_days(farm), seen_share(farm)
    assert days is not None
    assert share is not None
    # Days are those of the weekly look that found it: 49/12 more (Sheppard's correction).
    assert days.spread.within == pytest.approx(truth.within + 49 / 12, rel=0.10)
    assert days.spread.between == pytest.approx(truth.between, rel=0.25)
    assert days.ready == pytest.approx(1 - truth.lost, abs=0.03)
    assert share.share == pytest.approx(truth.lost, abs=0.03)
    assert share.icc == pytest.approx(truth.icc, abs=0.05)


def test_over_many_farms_neither_leans_to_one_side() -> None:
    truth = Truth(pieces=6)
    found = [Truth.farm(truth, 40, np.random.default_rng(100 + n)) for n in range(60)]
    shares = [share for farm in found if (share := seen_share(farm)) is not None]
    days = [one for farm in found if (one := seen_days(farm)) is not None]
    assert (len(shares), len(days)) == (60, 60)
    assert np.mean([one.icc for one in shares]) == pytest.approx(truth.icc, abs=0.03)
    assert np.mean([one.spread.within for one in days]) == pytest.approx(904, rel=0.07)
    assert np.mean([one.spread.between for one in days]) == pytest.approx(400, rel=0.15)


READY, GONE, OPEN = Watch("ready", 90, 97), Watch("lost", 20, 27), Watch("healing", 50, 50)


@pytest.mark.parametrize("farm", [
    members(),
    members((200, [READY] * 40)),
    members(*[(200, [READY, GONE])] * 3),
    members(*[(100, [OPEN] * 10)] * 8),
], ids=["nothing", "one cut", "three cuts", "all open"])  # fmt: skip
def test_too_little_is_said_to_be_too_little(farm: Members) -> None:
    assert (seen_share(farm), seen_days(farm)) == (None, None)


def test_the_share_is_known_before_the_days_are() -> None:
    """Half of the curve is still open: the days seen are the fast ones' alone."""
    later = Watch("healing", 180, 182)
    farm = members(*[(200, [READY, READY, later, later, GONE])] * 8)
    share = seen_share(farm)
    assert share is not None
    assert (share.share, share.cuts, share.pieces) == (0.2, 8, 40)
    assert seen_days(farm) is None


def test_pieces_a_cut_are_those_of_cuts_that_could_be_in_the_trial() -> None:
    farm = members(*[(9, [OPEN] * size) for size in (2, 4, 4, 4, 1)])
    assert pieces_a_cut(farm, 2) == pytest.approx(4 / (1 / 2 + 3 / 4))
    assert pieces_a_cut(farm, 3) is None


def test_cuts_planned_from_a_farms_own_records_find_the_difference_there() -> None:
    """From looks to a count to trials on one invented farm, whose truth the count never saw."""
    truth = Truth()
    found = []
    for seed in range(12):
        farm = truth.farm(60, np.random.default_rng(500 + seed))
        days = seen_days(farm)
        assert days is not None
        cuts = cuts_for_days(Design(2, 8.0), days.ready, 15.0, days.spread)
        assert cuts is not None
        real = Days(1 - truth.lost, 15.0, Spread(truth.within + 49 / 12, truth.between), 4)
        found.append(found_share(real, cuts, 200, seed))
    assert np.mean(found) == pytest.approx(0.8, abs=0.05)
    assert min(found) >= 0.6
