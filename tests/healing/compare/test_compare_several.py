"""Holm's adjustment."""

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from api.healing.compare.several import holm
from api.healing.errors import ShareError


def test_equal_to_statsmodels_on_random_values_with_ties():
    random = np.random.default_rng(1)
    for size in (1, 2, 3, 5, 10, 45):
        p = random.random(size) ** 3
        p[: size // 2] = p[: size // 2].round(1)
        assert holm(p) == pytest.approx(multipletests(p, method="holm")[1], abs=1e-12)


def test_answers_keep_the_order_of_the_p_values():
    p = np.random.default_rng(2).random(40)
    found = holm(p)
    assert np.all(np.diff(found[np.argsort(p)]) >= 0.0)
    assert np.all((found >= p) & (found <= 1.0))


def test_by_hand():
    assert holm([0.04, 0.01, 0.03, 0.01]).tolist() == pytest.approx([0.06, 0.04, 0.06, 0.04])
    assert (holm([0.03]).tolist(), holm([]).tolist(), holm([0.0, 1.0]).tolist()) == (
        [0.03], [], [0.0, 1.0],
    )  # fmt: skip


@pytest.mark.parametrize("bad", [[0.1, np.nan], [-0.1], [1.1], [[0.1, 0.2]], 0.5])
def test_what_is_no_p_value_is_refused(bad):
    with pytest.raises(ShareError, match="leave out comparisons that were not made"):
        holm(bad)
