"""Leaving out cuts: against refits the long way, and what the plain sandwich would miss."""

from dataclasses import replace

import numpy as np
import pytest

from api.healing.predict.climb import Point, Problem, Top, climb
from api.healing.predict.curvature import curvature
from api.healing.predict.mixture import Bounds, row_terms
from api.healing.predict.standard import figures, slopes
from api.healing.predict.without import jackknife_error, left_out
from api.healing.rows import FloatArray, IntervalRows
from tests.healing.predict.test_adjusted import tangled

pytestmark = pytest.mark.filterwarnings("error")
DAY = 35


def posed(rows: IntervalRows, table: FloatArray) -> Problem:
    m, none = table.shape[1], np.zeros(0, np.int64)
    mean = Point(np.zeros((m, 3)), np.log([2.0, 1.2]), np.zeros((1, 3)))
    mean.outer[0, 1:] = np.log([35.0, 20.0])
    precision = Point(np.ones((m, 3)), np.full(2, 2.0), np.ones((1, 3)))
    weight = rows.weight.astype(float)
    return Problem(Bounds.of(rows), weight, table, none, none, mean, precision)


def fitted(problem: Problem) -> Top:
    mean = problem.mean
    return climb(problem, Point(mean.outer, mean.shape, np.zeros((0, 3))), 1e-10)


def farm(seed: int, cuts: int, traits: int = 1) -> tuple[IntervalRows, FloatArray]:
    """Rows and the design: ones, the group, size, and traits of each cut that mean nothing."""
    rows, method, large = tangled(seed, cuts, spread=0.3)
    more = np.random.default_rng(seed).normal(size=(cuts, traits - 1))[rows.cluster]
    ones = np.ones((method.size, 1))
    return rows, np.concatenate((ones, method[:, None] - 0.5, large - 0.5, more), axis=1)


def the_long_way(rows: IntervalRows, table: FloatArray, top: Top) -> FloatArray:
    """Each cut's rows taken away, and a climb to the last digit from somewhere near."""
    found, random = [], np.random.default_rng(0)
    for cut in np.unique(rows.cluster):
        keep = rows.cluster != cut
        less = posed(rows.select(keep), table[keep])
        near = Point(top.at.outer + random.normal(0, 0.1, (3, 3)), top.at.shape, top.at.inner)
        found.append(figures(less.design, less.weight, climb(less, near, 1e-10).at, DAY))
    return np.array(found)


def test_refits_are_those_of_the_rows_that_are_left():
    rows, table = farm(3, 14)
    problem = posed(rows, table)
    top = fitted(problem)
    found = left_out(problem, top, rows.cluster, DAY)
    long = the_long_way(rows, table, top)
    assert found == pytest.approx(long, rel=2e-3)
    each = long[:, :, 1] - long[:, :, 0]
    assert jackknife_error(found) == pytest.approx(np.sqrt(13 * each.var(axis=0)), rel=1e-2)


@pytest.mark.parametrize(
    ("seed", "cuts", "traits"), [(41, 40, 1), (52, 40, 12), (176, 70, 6), (246, 40, 6)]
)
def test_one_step_errs_as_refits_do(seed, cuts, traits, monkeypatch):
    """Within a tenth; the plain sandwich, without the curvature of the cut left out, falls the
    shorter the more traits there are that cuts differ in."""
    rows, table = farm(seed, cuts, traits)
    problem = posed(rows, table)
    top = fitted(problem)
    errors = []
    for limit in (0, 100):
        monkeypatch.setattr("api.healing.predict.without.REFITTED_UP_TO", limit)
        errors.append(jackknife_error(left_out(problem, top, rows.cluster, DAY)))
    found, refitted = errors
    assert found == pytest.approx(refitted, rel=0.1)
    ratio = plain_sandwich(problem, top, rows) / refitted[:2]
    assert ratio.max() < (0.8 if traits == 12 else 1.0)


def plain_sandwich(problem: Problem, top: Top, rows: IntervalRows) -> FloatArray:
    """Standard errors of the differences of ready and lost: H in place of H - H_c."""
    terms = row_terms(problem.bounds, problem.five(top.at))
    unknown = slopes(problem.design, problem.weight, top.at, DAY).unknown[:2]
    lean = unknown[:, 1] - unknown[:, 0]
    whole = top.curvature.low @ top.curvature.low.T
    square = 0.0
    for cut in np.unique(rows.cluster):
        index = rows.cluster == cut
        slope = terms.slope[index]
        each = (problem.design[index].T @ slope[:, :3]).T.ravel()
        moved = np.linalg.solve(whole, np.concatenate((each, slope[:, 3:].sum(axis=0))))
        square = square + (lean @ moved) ** 2
    return np.sqrt(square * rows.cuts / (rows.cuts - 1))


def test_a_cut_without_which_there_is_no_top_nearby_is_refitted(monkeypatch):
    rows, table = farm(5, 32)
    problem = posed(rows, table)
    top = fitted(problem)
    monkeypatch.setattr("api.healing.predict.without.REFITTED_UP_TO", 0)
    step = left_out(problem, top, rows.cluster, DAY)

    def refuse(_: FloatArray) -> None:
        raise np.linalg.LinAlgError

    monkeypatch.setattr("api.healing.predict.without.cho_factor", refuse)
    found = left_out(problem, top, rows.cluster, DAY)
    assert found == pytest.approx(the_long_way(rows, table, top), rel=2e-3)
    assert jackknife_error(step) == pytest.approx(jackknife_error(found), rel=0.1)


def test_curvature_is_that_of_each_row_carried_to_the_unknowns():
    """Row by row: J' h J with J (5, q) the derivative of a row's five numbers."""
    random = np.random.default_rng(1)
    n, m, block = 30, 3, np.sort(random.integers(0, 6, 30))
    design, h = random.normal(size=(n, m)), random.normal(size=(n, 5, 5))
    h = h + np.swapaxes(h, 1, 2)
    # As of pieces that became ready: nothing touches the other kind's numbers.
    h[:20, :, 2] = h[:20, 2, :] = h[:20, 0, 1] = h[:20, 1, 0] = 0.0
    found = curvature(design, h, block, 7)
    outer, cross = np.zeros((3 * m + 2, 3 * m + 2)), np.zeros((7, 3, 3 * m + 2))
    own = np.zeros((7, 3, 3))
    for i in range(n):
        jacobian = np.zeros((5, 3 * m + 2))
        for k in range(3):
            jacobian[k, k * m : (k + 1) * m] = design[i]
        jacobian[3, -2] = jacobian[4, -1] = 1.0
        outer += jacobian.T @ h[i] @ jacobian
        cross[block[i]] += (h[i] @ jacobian)[:3]
        own[block[i]] += h[i, :3, :3]
    assert found.outer == pytest.approx(outer)
    assert found.cross == pytest.approx(cross)
    assert found.blocks == pytest.approx(own)
    assert curvature(design, h).outer == pytest.approx(outer)


def test_pieces_of_one_weighted_row_count_as_often():
    rows, table = farm(8, 12)
    problem = posed(rows, table)
    twice = replace(problem, weight=2.0 * problem.weight)
    order = np.concatenate((np.arange(rows.left.size),) * 2)
    doubled = posed(rows.select(order), table[order])
    cut = rows.cluster
    one = left_out(twice, fitted(twice), cut, DAY)
    two = left_out(doubled, fitted(doubled), cut[order], DAY)
    assert one == pytest.approx(two, rel=1e-4)
