"""Short forms of `python -m tests.reference.calibration`: do predictions keep their word?"""

import numpy as np
import pytest

from tests.reference.calibration import pooling_error, reliability, tally
from tests.reference.looks_runs import WHERE, tally_looks

FOUND = tally(farms=30, seed=5)
SAID, TRUE, PLAIN = (np.concatenate(one) for one in (FOUND.said, FOUND.true, FOUND.plain))


def test_what_is_said_to_be_likely_comes_true_as_often():
    """Fifths of some thousand chances; pieces of a cut are alike, hence the room."""
    _, said, true = np.array(reliability(SAID, TRUE, 5)).T
    assert true == pytest.approx(said, abs=0.06)
    assert SAID.mean() == pytest.approx(TRUE.mean(), abs=0.03)


def test_the_model_is_nearer_the_truth_than_the_plain_curve():
    assert ((SAID - TRUE) ** 2).mean() < ((PLAIN - TRUE) ** 2).mean() - 0.01


def test_the_range_of_the_day_holds():
    assert np.concatenate(FOUND.held).mean() == pytest.approx(0.80, abs=0.05)


def test_the_numbers_by_week_hold():
    """Six weeks of 30 farms, weeks of a farm not independent: 80 % and 95 %."""
    narrow, wide = np.mean(FOUND.weeks, axis=(0, 2))
    assert 0.70 <= narrow <= 0.92
    assert 0.88 <= wide <= 1.0


def test_pooling_is_worth_most_where_pieces_are_few():
    for size, (pooled, alone, plain) in pooling_error(farms=12, seed=3).items():
        assert pooled < plain
        assert size == 150 or pooled < 0.95 * alone


def test_what_was_seen_sharpens_chances_where_it_tells_something():
    """In cuts that taught it as in cuts left out, and not by recalibrating: 'blind' gains nothing
    like it. Ranges hold, and what is likely comes true as often."""
    found, used = tally_looks("much", farms=4, seed=5)
    assert used >= 3
    for where in WHERE:
        alone, blind, told = (found[way, where] for way in ("days alone", "blind", "with looks"))
        assert told.brier() < min(alone.brier(), blind.brier()) - 0.03
        assert np.concatenate(told.held).mean() == pytest.approx(0.80, abs=0.10)
        assert told.off(5)[0] == pytest.approx(0.0, abs=0.08)


def test_what_tells_nothing_is_left_alone():
    found, used = tally_looks("nothing", farms=3, seed=5)
    assert used <= 1
    for where in WHERE:
        alone, told = (found[way, where].brier() for way in ("days alone", "with looks"))
        assert told < alone + 0.002
