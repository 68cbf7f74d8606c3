"""How the pairs of a comparison were worked out, in plain words, with the sources. Pure.

A method is only named where it was used.
"""

from collections.abc import Sequence

from api.healing.comparison_shapes import Pair
from api.healing.shapes import Unit


def comparison_notes(
    pairs: Sequence[Pair], compared: int, groups: int, unit: Unit, exact: int
) -> list[str]:
    """`compared` of all `groups` in which something was seen; `exact` p-values came from Barnard's
    test."""
    notes = []
    if not groups:
        notes.append("There is no group yet with pieces that were looked at: nothing to compare.")
    if groups == 1:
        notes.append("There is only one group with pieces that were looked at: nothing to compare.")
    if groups > compared:
        notes.append(f"The {compared} largest of {groups} groups are compared, two at a time.")
    made = 2 * sum(1 for pair in pairs if pair.crude is not None)
    if not made:
        return notes
    notes.append(_limits(unit))
    if any(pair.adjusted is not None for pair in pairs):
        notes.append(LIKE_WITH_LIKE)
    if any(pair.within is not None for pair in pairs):
        notes.append(WITHIN)
    if exact:
        notes.append(_exact(unit))
    if made > exact:
        notes.append(_dealt(unit, also=exact > 0))
    notes.append(_corrected(made))
    return notes


LIKE_WITH_LIKE = (
    "Like with like: one curve is fitted to both groups with all that differs between their pieces "
    "in it, and read off as if every piece were of the one group, then of the other "
    "(standardisation: Snowden, Rose & Mortimer 2011)."
)
WITHIN = (
    "As it was drawn: in each cut its own pieces of one arm are set beside those of the other, and "
    "the differences are averaged, larger cuts counting for more (Cochran 1954)."
)


def _limits(unit: Unit) -> str:
    return (
        "Differences are of the shares of all pieces cut, the lost counting as not ready. Pieces "
        f"of one {unit} are alike, so their 95 % limits come from leaving out one {unit} after the "
        f"other, or, of many, from giving {unit}s other weights (Lipsitz, Dear & Zhao 1994; Rubin "
        "1981); limits of two groups are put together after Newcombe 1998 and Zou & Donner 2008."
    )


def _dealt(unit: Unit, *, also: bool) -> str:
    begin = (
        "Elsewhere" if also
        else "A p-value says how often chance alone gives a difference as large:"
    )  # fmt: skip
    return (
        f"{begin} whole {unit}s are dealt anew to the two groups, and where one {unit} has pieces "
        "in both, its own pieces are (a permutation test: Fay & Shaw 2010; Edgington & Onghena "
        "2007)."
    )


def _exact(unit: Unit) -> str:
    return (
        f"Where each piece is a {unit} of its own and pieces are few, a p-value, which says how "
        "often chance alone gives a difference as large, comes from the counts by that day (the "
        "exact test of Barnard 1947), and what is promised of a group in which none was lost from "
        "the exact limit of Clopper & Pearson 1934."
    )


def _corrected(made: int) -> str:
    return (
        f"{made} p-values were worked out, for ready and for lost; each is corrected for all of "
        "them (Holm 1979). Looking again tomorrow is one more look: wait for the next cuts."
    )
