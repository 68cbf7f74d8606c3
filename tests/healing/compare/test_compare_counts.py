"""The difference of the shares lost by a horizon, from counts of each cut."""

import pytest

from api.healing.compare.counts import CountContrast, count_contrast, exact_tests
from api.healing.errors import ShareError
from api.healing.proportions import ClusterCounts, difference


def test_counts_by_a_horizon():
    one, two = ClusterCounts.of([1, 4, 0], [8, 8, 6]), ClusterCounts.of([5, 2], [9, 9])
    found = count_contrast(one, two)
    limits = difference((5, 7), (22, 18), deff=found.deff)
    assert found == CountContrast(
        pytest.approx(100 * (5 / 22 - 7 / 18)), pytest.approx(100 * limits.low),
        pytest.approx(100 * limits.high), found.deff, None, None,
    )  # fmt: skip
    assert found.deff > 1.0
    assert count_contrast(one, two, deff=2.5).deff == 2.5


def test_pieces_that_are_each_a_cut_have_exact_tests():
    """7 of 15 against 12 of 15."""
    one = ClusterCounts.of([1] * 7 + [0] * 8, [1] * 15)
    two = ClusterCounts.of([1] * 12 + [0] * 3, [1] * 15)
    found = count_contrast(one, two)
    assert (found.deff, found.fisher, found.barnard) == (
        1.0, pytest.approx(0.128136, abs=5e-7), pytest.approx(0.068153, abs=5e-7),
    )  # fmt: skip
    many = ClusterCounts.of([0] * 150, [1] * 150)
    assert (count_contrast(many, many).fisher, count_contrast(many, many).barnard) == (None, None)


@pytest.mark.parametrize("table", [((0, 0), (3, 4)), ((3, 4), (0, 0)), ((0, 2), (0, 3))])
def test_tables_that_say_nothing(table):
    assert exact_tests(table) == (1.0, 1.0)


def test_counts_that_make_no_table_are_refused():
    with pytest.raises(ShareError, match="One side has no pieces"):
        count_contrast(ClusterCounts.of([], []), ClusterCounts.of([1], [2]))
    with pytest.raises(ShareError, match="below 0"):
        exact_tests(((-1, 2), (3, 4)))
