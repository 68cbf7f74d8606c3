"""Units side by side: limits that leave room for differences, losses expected of young cuts."""

import numpy as np
import pytest
from scipy.stats import beta, betabinom, binom

from api.healing.errors import ShareError, TooFewCutsError
from api.healing.incidence import fit_incidence
from api.healing.rows import Cause, IntervalRows
from api.healing.warn.expected import expected_losses, watched
from api.healing.warn.funnel import ACT, LOOK, funnel
from tests.healing.warn.false_alarms import farm_of, standing
from tests.reference.simulated import Farm, rows_of, truth

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL


def by_hand(lost: list[int], pieces: list[int], unit: int, due: list[float] | None) -> float:
    """Mid-p of one unit: the moments as a loop over the others, and scipy's distribution."""
    others = [k for k in range(len(lost)) if k != unit]
    y_sum, n_sum = sum(lost[k] for k in others), sum(pieces[k] for k in others)
    each = {k: pieces[k] * y_sum / n_sum if due is None else due[k] for k in others}
    scale = y_sum / sum(each.values())
    excess, weight = 0.1 * 4 * 8 * 7 * 0.2 * 0.8, 4 * 8 * 7 * 0.2 * 0.8
    for k in others:
        share = scale * each[k] / pieces[k]
        chance = pieces[k] * share * (1 - share)
        excess += (lost[k] - pieces[k] * share) ** 2 - chance
        weight += (pieces[k] - 1) * chance
    rho = max(excess / weight, 0.0)
    unsure = sum(pieces[k] * (1 + (pieces[k] - 1) * rho) for k in others) / n_sum**2
    mean = y_sum / n_sum if due is None else due[unit] / pieces[unit]
    mean = (mean / unsure + 0.5) / (1 / unsure + 1)
    sum_ab = 1 / (rho + unsure * pieces[unit] / (pieces[unit] - 1)) - 1
    theirs = betabinom(pieces[unit], mean * sum_ab, (1 - mean) * sum_ab)
    return float(theirs.sf(lost[unit]) + theirs.pmf(lost[unit]) / 2)


def test_every_number_by_hand():
    lost, pieces = [1, 2, 0, 9, 3, 2], [8, 12, 7, 10, 20, 8]
    found = funnel(lost, pieces)
    assert [one.mid_p for one in found] == pytest.approx(
        [by_hand(lost, pieces, k, None) for k in range(6)], rel=1e-6
    )
    due = [0.5, 2.5, 1.0, 2.0, 6.0, 1.5]
    assert [one.mid_p for one in funnel(lost, pieces, due)] == pytest.approx(
        [by_hand(lost, pieces, k, due) for k in range(6)], rel=1e-6
    )
    assert [one.level for one in found] == ["usual"] * 3 + ["act"] + ["usual"] * 2
    assert (found[3].pieces, found[3].lost) == (10, 9)


def test_levels_are_where_the_limits_are():
    """The fourth unit with every number of losses: its own never change what is expected of it."""
    pieces, seen = [8, 12, 7, 10, 20, 8], []
    for gone in range(11):
        lost = [1, 2, 0, gone, 3, 2]
        odd = by_hand(lost, pieces, 3, None)
        seen.append(funnel(lost, pieces)[3].level)
        assert seen[-1] == ("act" if odd <= ACT else "look" if odd <= LOOK else "usual")
    assert list(dict.fromkeys(seen)) == ["usual", "look", "act"]


def test_expected_is_said_as_it_was_asked_about():
    """Half a loss is added to the others' for the limits only: none lost elsewhere is none."""
    assert [one.expected for one in funnel([1, 0, 0, 0], [8] * 4)] == pytest.approx(
        [0.0, *[8 / 24] * 3]
    )
    assert [one.expected for one in funnel([1, 0, 0], [8] * 3, [0.0, 1.5, 8.0])] == [0.0, 1.5, 8.0]


def test_plain_binomial_limits_call_ordinary_units_odd():
    """Farms of 30 units whose own shares differ (rho 0.15), nobody worse than that: limits that
    stand for 2.5 % are passed by about as many units, by plain binomial limits by far more."""
    random, ours, plain = np.random.default_rng(5), [], []
    for _ in range(60):
        pieces = random.integers(6, 21, 30)
        lost = random.binomial(pieces, beta(0.2 * 5.67, 0.8 * 5.67).rvs(30, random_state=random))
        share = (lost.sum() - lost) / (pieces.sum() - pieces)
        odd = binom(pieces, share).sf(lost) + binom(pieces, share).pmf(lost) / 2
        plain += (odd <= LOOK).tolist()
        ours += [one.level != "usual" for one in funnel(lost, pieces)]
    assert np.mean(plain) > 0.08
    assert 0.01 < np.mean(ours) < 0.04


@pytest.mark.parametrize(("units", "runs"), [(4, 60), (20, 12)])
def test_few_ordinary_units_are_called_out(units, runs):
    """The whole table: python -m tests.healing.warn.false_alarms."""
    farm = farm_of(units, "usual", 0.8)
    found = [
        one for run in range(runs) for one in standing(rows_of(farm, np.random.default_rng(run)))
    ]
    assert np.mean([one.level != "usual" for one in found]) <= 0.05
    assert np.mean([one.level == "act" for one in found]) <= 0.01


def test_expected_is_the_others_curve_as_far_as_the_unit_was_watched():
    """Four losses in each old cut by days 10, 20, 30, 40 of eight; the young one is 20 days old."""
    old = (
        [9, 19, 29, 39, 50, 50, 50, 50],
        [10, 20, 30, 40, 50, 50, 50, 50],
        [LOST] * 4 + [STILL] * 4,
    )
    young = ([9, 9, 19, 19, 20, 20], [10, 10, 20, 20, 20, 20], [LOST] * 4 + [STILL] * 2)
    left, right, cause = ([*a * 3, *b] for a, b in zip(old, young, strict=True))
    rows = IntervalRows.of(left, right, cause, np.repeat([5, 6, 7, 2], [8, 8, 8, 6]))
    assert watched(rows)[-6:].tolist() == [20] * 6
    found = expected_losses(rows)
    assert found.units.tolist() == [2, 5, 6, 7]
    assert (found.pieces.tolist(), found.lost.tolist()) == ([6, 8, 8, 8], [4, 4, 4, 4])
    assert found.expected[0] == pytest.approx(6 * 2 / 8, abs=1e-6)
    rest = fit_incidence(rows.select(rows.cluster != 5)).lost.cumulative(50)[0]
    assert found.expected[1] == pytest.approx(8 * rest, abs=1e-6)


def test_a_tray_with_cuts_of_two_ages_takes_each_piece_as_its_own_cut_was_watched():
    """Tray 1 holds an old cut, watched to day 50, and one lost piece of a cut of 10 days."""
    left, right = [50, 50, 5, 9, 30, 50], [50, 50, 10, 10, 40, 50]
    cause, cut = [STILL, STILL, LOST, LOST, LOST, STILL], [1, 1, 2, 3, 4, 4]
    by_cut = IntervalRows.of(left, right, cause, cut)
    by_tray = IntervalRows.of(left, right, cause, [1, 1, 1, 2, 2, 2])
    assert watched(by_cut).tolist() == [50, 50, 10, 10, 50, 50]
    found = expected_losses(by_tray, watched(by_cut))
    other = fit_incidence(by_tray.select(by_tray.cluster == 2)).lost
    by_day = [other.cumulative(day)[0] for day in (50, 50, 10)]
    assert by_day == pytest.approx([2 / 3, 2 / 3, 1 / 3], abs=1e-6)
    assert found.expected[0] == pytest.approx(sum(by_day), abs=1e-6)
    assert expected_losses(by_tray).expected[0] == pytest.approx(2.0, abs=1e-6)


def test_a_young_cut_is_warned_about_before_it_passes_the_farms_share():
    """Cuts of this farm may come to six lost of ten, but hardly in their first week."""
    farm = rows_of(Farm(30, 10, watched=(80, 81)), np.random.default_rng(6))
    age, lost = 7, 6
    young = IntervalRows.of(
        [0] * lost + [age] * (10 - lost),
        [age] * 10,
        [LOST] * lost + [STILL] * (10 - lost),
        [99] * 10,
    )
    columns = ("left", "right", "cause", "cluster")
    rows = IntervalRows.of(
        *(np.concatenate((getattr(farm, c), getattr(young, c))) for c in columns)
    )
    found = expected_losses(rows)
    assert found.expected[-1] == pytest.approx(10 * truth(Farm(1, 1), age)[1][age], abs=0.4)
    with_age = funnel(found.lost, found.pieces, found.expected)[-1]
    without = funnel(found.lost, found.pieces)[-1]
    assert (with_age.level, without.level) == ("look", "usual")


def test_what_is_expected_adds_up_to_what_is_lost_and_would_not_by_each_pieces_own_last_day():
    """A lost piece's own last day alive falls short of how long it would have been watched."""
    lost = due = short = 0.0
    for run in range(30):
        rows = rows_of(Farm(20, 8, watched=(20, 100)), np.random.default_rng(run))
        found, curve = expected_losses(rows), fit_incidence(rows).lost
        own = np.where(rows.cause == READY, watched(rows), np.minimum(rows.left, rows.right))
        lost, due = lost + found.lost.sum(), due + found.expected.sum()
        short += curve.bounds(own)[0].sum()
    # Two in a hundred are missing since a cut with nothing left to look at is no longer watched.
    assert due / lost == pytest.approx(1.0, abs=0.05)
    assert short / lost < 0.85


def test_odd_numbers_are_answers():
    """Others that lost nothing, units of one piece, all lost everywhere."""
    first = funnel([1, 0, 0, 0], [8, 8, 8, 8])[0]
    assert 0.02 < first.mid_p < 0.5
    levels = [[one.level for one in funnel([8] + [0] * k, [8] * (k + 1))] for k in (1, 3)]
    assert levels == [["look", "usual"], ["act", "usual", "usual", "usual"]]
    ones = funnel([1, 0, 1], [1, 1, 1])
    assert [one.level for one in ones] == ["usual"] * 3
    assert {one.level for one in funnel([5, 6], [5, 6])} == {"usual"}


def test_impossible_counts_are_refused():
    with pytest.raises(TooFewCutsError, match="no others"):
        funnel([1], [4])
    with pytest.raises(TooFewCutsError, match="no others"):
        expected_losses(IntervalRows.of([0], [3], [LOST]))
    for lost, pieces, expected in (([5, 1], [4, 4], None), ([0.5, 1], [4, 4], None),
                                   ([1, 1], [4, 4], [5.0, 1.0]), ([1, 1], [4, 4], [1.0]),
                                   ([1, 1], [4, 4], [np.nan, 1.0])):  # fmt: skip
        with pytest.raises(ShareError):
            funnel(lost, pieces, expected)
