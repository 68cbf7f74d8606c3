"""What pieces were, as columns: species told apart, and those that are too rare or too many."""

from collections import Counter
from types import SimpleNamespace

import numpy as np

from api.healing.covariates import covariates


def kinds_of(counts: list[int], *, whole: bool) -> dict[tuple[int, ...], int]:
    """How many pieces have which row of columns, of a farm with so many pieces of each species."""
    codes = np.repeat(np.arange(len(counts)), counts)

    names = [f"species.{one:02}" for one in range(len(counts))]
    some = SimpleNamespace(size=codes.size, codes=lambda _: codes, values=lambda _: names)
    x, of = covariates(some, ["species"], whole=whole)
    assert of == ["species"] * x.shape[1]
    return dict(Counter(tuple(row) for row in x.astype(int).tolist()))


def test_a_ninth_species_does_not_take_the_other_eight_out_of_the_chances():
    """Eight are told apart, the first by having no column; the others have the last column."""
    one_of = np.vstack([np.zeros((1, 8), int), np.eye(8, dtype=int)]).tolist()
    found = kinds_of([30, 20, 19, 18, 17, 16, 15, 14, 7, 6], whole=False)
    numbers = [30, 20, 19, 18, 17, 16, 15, 14, 13]
    assert found == {tuple(row): number for row, number in zip(one_of, numbers, strict=True)}
    assert kinds_of([30] * 9, whole=True) == {(): 270}


def test_rare_species_are_together_not_taken_for_the_commonest():
    assert kinds_of([30, 4, 3, 9], whole=False) == {(0, 0): 30, (1, 0): 9, (0, 1): 7}
    assert kinds_of([30, 2, 2, 9], whole=False) == {(0,): 34, (1,): 9}
    assert kinds_of([30, 4, 3, 9], whole=True) == {(0,): 37, (1,): 9}
    assert kinds_of([30], whole=False) == {(): 30}
