"""Fits that share what methods have in common, and all that may be wrong with their input."""

import dataclasses

import numpy as np
import pytest
from scipy.optimize import minimize

from api.healing.errors import NotSettledError, RowsError
from api.healing.predict.chance import predict
from api.healing.predict.climb import Point, Problem, climb
from api.healing.predict.columns import collapsed
from api.healing.predict.forecast import forecast
from api.healing.predict.mixture import Bounds
from api.healing.predict.model import Standing
from api.healing.predict.pooled import fit
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL
pytestmark = pytest.mark.filterwarnings("error")


def farm(cuts: int = 12, seed: int = 1) -> IntervalRows:
    return rows_of(Farm(cuts=cuts, pieces=8, watched=(20, 70)), np.random.default_rng(seed))


def test_the_climb_ends_where_another_does():
    """Six cuts with effects, priors on all: scipy's quasi-Newton, from values alone."""
    rows = farm(6)
    order = np.argsort(rows.cluster, kind="stable")
    rows = rows.select(order)
    prior = Point(np.ones((1, 3)), np.ones(2), np.full((1, 3), 4.0))
    mean = Point(np.array([[0.0, 3.5, 3.0]]), np.zeros(2), np.zeros((1, 3)))
    problem = Problem(
        Bounds.of(rows), rows.weight.astype(float), np.ones((rows.left.size, 1)),
        rows.cluster, np.unique(rows.cluster, return_index=True)[1], mean, prior,
    )  # fmt: skip

    def point(flat: np.ndarray) -> Point:
        return Point(flat[None, :3], flat[3:5], flat[5:].reshape(6, 3))

    start = np.concatenate((mean.outer[0], mean.shape, np.zeros(18)))
    theirs = minimize(lambda flat: -problem.value(point(flat)), start, method="BFGS")
    found = climb(problem, point(start))
    flat = np.concatenate((found.at.outer[0], found.at.shape, found.at.inner.ravel()))
    assert flat == pytest.approx(theirs.x, abs=1e-3)
    assert problem.value(found.at) >= -theirs.fun - 1e-9
    assert found.missing < 1e-9


def test_a_trait_that_never_changes_changes_nothing():
    rows = farm(40)
    found = fit(rows, rows.cluster % 3)
    again = fit(rows, rows.cluster % 3, np.zeros((rows.left.size, 1)))
    assert again.columns.kept.size == 0
    assert again.top.loglik == found.top.loglik


def test_what_the_farm_was_made_with_is_found():
    """Log-normal speed of cuts 0.35 about 35 days, shape 3; `simulated` adds one day to each."""
    model = fit(farm(400, 2), np.zeros(3200, int))
    assert model.cut_sd[1] == pytest.approx(0.35, abs=0.04)
    assert model.shapes == pytest.approx([3.1, 1.25], abs=0.3)
    assert model.top.at.outer[0, 1] == pytest.approx(np.log(36.0), abs=0.08)


def test_small_methods_are_pulled_in_and_large_ones_keep_their_own():
    """Two slow methods alike in all but their number: ready on day 55 or 56 where others are on 35
    or 36."""
    size = np.array([100, 100, 100, 6, 100])
    method = np.repeat(np.arange(5), size)
    slow = np.isin(method, [3, 4])
    day = np.where(slow, 56, 36) + np.random.default_rng(0).integers(-12, 13, method.size)
    cluster = np.arange(method.size) // 2
    rows = IntervalRows.of(day - 7, day, np.full(method.size, READY), cluster)
    effect = fit(rows, method).top.at.outer[1:, 1]
    assert effect[3] < 0.9 * effect[4]
    assert effect[3] > effect[:3].max()


def test_equal_rows_put_together_change_nothing():
    rows, random = farm(), np.random.default_rng(3)
    method, x = rows.cluster % 2, random.integers(0, 2, (rows.left.size, 2)).astype(float)
    twice = IntervalRows.of(*(np.tile(getattr(rows, f.name), 2) for f in dataclasses.fields(rows)))
    heavy = IntervalRows.of(rows.left, rows.right, rows.cause, rows.cluster, 2 * rows.weight)
    one, two = fit(twice, np.tile(method, 2), np.tile(x, (2, 1))), fit(heavy, method, x)
    assert one.top.at.outer == pytest.approx(two.top.at.outer, abs=1e-9)
    together, codes, traits = collapsed(twice, np.tile(method, 2), np.tile(x, (2, 1)))
    assert together.pieces == 2 * rows.pieces
    assert together.left.size == codes.size == traits.shape[0] <= rows.left.size


MANY = 40
EACH = np.arange(MANY) // 8
ODD = {
    "one cut": IntervalRows.of([3, 9] * 20, [9, 12] * 20, [READY] * MANY),
    "none lost": IntervalRows.of(np.arange(MANY), [50] * MANY, [READY] * MANY, EACH),
    "first check": IntervalRows.of([0] * MANY, [14] * MANY, [READY] * MANY, EACH),
    "one day": IntervalRows.of([29] * MANY, [30] * MANY, [READY] * MANY),
    "far days": IntervalRows.of([0, 36000] * 20, [1, 36500] * 20, [LOST, READY] * 20),
    "two heaps": IntervalRows.of([0, 3000] * 20, [1, 3001] * 20, [READY] * MANY, EACH),
    "few ready": IntervalRows.of([0] * 5 + [90] * 35, [1] * 5 + [90] * 35,
                                 [READY] * 5 + [STILL] * 35, EACH),
    "huge weights": IntervalRows.of([0, 10, 20], [1, 20, 20], [0, 1, 2], None, [10**4] * 3),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_odd_histories_give_numbers_that_can_be(name):
    rows = ODD[name]
    model = fit(rows, np.arange(rows.left.size) % 2)
    pieces = Standing.of([0, 5, 900], [1, 6, 901], [9, 9, 990], [0, 1, 7], [0, 1, 99])
    chances, coming = predict(model, pieces, [0, 7, 400]), forecast(model, pieces, 3)
    assert np.all((chances.ready_by >= 0.0) & (chances.ready_by <= chances.ever[:, None] + 1e-12))
    assert np.all(np.diff(chances.ready_by, axis=1) >= 0.0)
    assert np.all((chances.low <= chances.median) & (chances.median <= chances.high))
    assert np.all(chances.low > pieces.left)
    assert np.all((coming.by.mean >= 0.0) & (coming.by.mean <= 3.0))


@pytest.mark.parametrize("cause", [LOST, STILL])
@pytest.mark.parametrize("count", [0, 1, 40])
def test_without_ready_pieces_nothing_is_predicted(cause, count):
    rows = IntervalRows.of([3] * count, [9] * count, [cause] * count)
    with pytest.raises(NotSettledError, match="days are predicted from 5 on"):
        fit(rows, np.zeros(count, int))


def test_a_thousand_methods():
    """With few cuts they are fitted; with as many cuts they are refused, and why is said."""
    random, n = np.random.default_rng(5), 4000
    left = random.integers(0, 60, n)
    cause = random.choice([READY, READY, LOST], n)
    method = np.arange(n) % 1000
    few = fit(IntervalRows.of(left, left + 7, cause, np.arange(n) // 80), method)
    assert not few.cuts_inside
    assert few.methods.size == few.top.at.inner.shape[0] == 1000
    with pytest.raises(NotSettledError, match="1000 methods and 1334 cuts are more than"):
        fit(IntervalRows.of(left, left + 7, cause, np.arange(n) // 3), method)


@pytest.mark.parametrize(
    ("group", "x", "said"),
    [
        ([0.5] * 96, None, "'group' has shape"),
        ([0] * 95, None, "for each of the 96 rows"),
        ([0] * 96, np.zeros(96), "must be a table"),
        ([0] * 96, np.full((96, 1), np.nan), "Row 0: a trait is missing or infinite"),
        ([0] * 96, np.full((96, 1), "tile"), "a table of numbers"),
    ],
)
def test_bad_columns_are_refused(group, x, said):
    with pytest.raises(RowsError, match=said):
        fit(farm(), group, x)
