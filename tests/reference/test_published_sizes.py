"""Sample sizes of published examples. Shares and means as the sources take them: one piece an arm a
mother and nothing alike, so that a mother is a pair of patients."""

import pytest

from api.planning.trial_size import Design, Spread, cuts_for_days, cuts_for_shares, mothers, power

PAIR = Design(2, 2.0)


def test_paired_means_of_a_manual() -> None:
    """MedCalc's manual, 'Sample size calculation: Paired samples t-test' (after Machin, Campbell,
    Tan & Tan 2009): a mean difference of 8 with standard deviation 12 takes 20 pairs."""
    assert mothers(8.0, 12.0**2) == 20
    # The same through days: each of the two pieces has half of that variance, and all get ready.
    assert cuts_for_days(PAIR, 1.0, 8.0, Spread(72.0)) == 20


def test_cohens_medium_effect_in_pairs() -> None:
    """d = 0.5 takes 34 pairs (Faul, Erdfelder, Lang & Buchner 2007, from memory)."""
    assert mothers(0.5, 1.0) == 34


def test_two_proportions_of_a_manual() -> None:
    """JMP 13's help, 'Two Sample Proportions': 0.08 against 0.06 takes 2554 a group, by another
    approximation and the normal distribution."""
    assert power(2554, 0.02, 0.08 * 0.92 + 0.06 * 0.94) == pytest.approx(0.80, abs=0.001)


def test_two_proportions_of_a_textbook() -> None:
    """Chow, Shao & Wang 2008, section 4.2 (from memory): 85 % against 65 % takes 70 a group by the
    normal distribution; t asks for a few more. They lie as 65 % and 85 % lost do here."""
    found = cuts_for_shares(PAIR, 0.85, 0.20, 0.0)
    assert found is not None
    assert 70 <= found <= 72
