"""The draw: the same again every time, fair over many mothers, balanced within each."""

import hashlib
import json
from collections import Counter
from itertools import count, islice, pairwise

import pytest
from scipy.stats import chisquare

from api.planning.draw import Plan, block, next_arm, sequence
from tests.planning.make_fixtures import FILE, content

CASES = json.loads(FILE.read_text())["cases"]
PAIR = Plan("trial.one", "00ff", ("base.a", "base.b"))
TRIPLE = Plan("trial.two", "00ff", ("none", "part", "whole"))
PARTS = Plan("trial.three", "00ff", ("method.a", "method.b", "method.c"), parts=True)


def second_sequence(plan: dict[str, object], mother: str, size: int) -> list[str]:
    """The rule once more, from the other end: the block is drawn by taking arms out of a row from
    the last place down, with the bytes as one long hexadecimal text."""
    arms: list[str] = sorted(plan["arms"])  # type: ignore[call-overload]
    found: list[str] = []
    for number in count():
        head = "\n".join(("nubbin draw 1", str(plan["trial"]), str(plan["seed"]), mother))
        hexes = "".join(
            hashlib.sha256(f"{head}\n{number}\n{again}".encode()).hexdigest() for again in range(40)
        )
        numbers = [int(hexes[at : at + 2], 16) for at in range(0, len(hexes), 2)]
        row = arms * (1 if plan["parts"] else 2 if numbers.pop(0) & 1 else 1)
        places: dict[int, str] = {}
        while len(row) > 1:
            size_now = len(row)
            while numbers[0] >= 256 // size_now * size_now:
                numbers.pop(0)
            at = numbers.pop(0) % size_now
            places[size_now - 1] = row[at]
            row[at] = row[-1]
            row = row[:-1]
        places[0] = row[0]
        found += [places[at] for at in sorted(places)]
        if len(found) >= size:
            return found[:size]
    raise AssertionError


def test_the_committed_file_is_what_the_generator_writes() -> None:
    assert FILE.read_text() == content(), "run: python -m tests.planning.make_fixtures"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_second_way_draws_the_same(case) -> None:
    drawn = second_sequence(case["plan"], case["mother"], 24)
    assert drawn[:12] == case["sequence"]
    for standing, following in case["steps"]:
        left = list(standing)
        first = next(arm for arm in drawn if arm not in left or left.remove(arm) is not None)
        assert first == following


@pytest.mark.parametrize("plan", [PAIR, TRIPLE, PARTS], ids=["two", "three", "parts"])
def test_every_order_of_a_block_is_as_likely(plan: Plan) -> None:
    """Chi-square over the first block of 12,000 mothers. The hash is fixed, so is the answer."""
    orders: dict[int, Counter[tuple[str, ...]]] = {1: Counter(), 2: Counter()}
    for mother in range(12_000):
        drawn = tuple(block(plan, f"mother {mother}", 0))
        orders[len(drawn) // len(plan.arms)][drawn] += 1
    sizes = [sum(orders[times].values()) for times in (1, 2)]
    assert sizes[1] == 0 if plan.parts else chisquare(sizes).pvalue > 0.001
    for times, expected in ((1, {2: 2, 3: 6}), (2, {2: 6, 3: 90})):
        if orders[times]:
            assert len(orders[times]) == expected[len(plan.arms)]
            assert chisquare(list(orders[times].values())).pvalue > 0.001


def test_every_place_is_as_likely_to_be_either_arm_and_tells_nothing_of_the_next_mother() -> None:
    firsts = [next(sequence(PAIR, f"mother {n}")) for n in range(4000)]
    assert chisquare(list(Counter(firsts).values())).pvalue > 0.001
    pairs = Counter(pairwise(firsts))
    assert chisquare(list(pairs.values())).pvalue > 0.001
    for other in (PAIR._replace(seed="00fe"), PAIR._replace(trial="trial.four")):
        same = sum(
            a == next(sequence(other, f"mother {n}")) for n, a in enumerate(firsts)
        )  # fmt: skip
        assert chisquare([same, 4000 - same]).pvalue > 0.001


def glue(plan: Plan, mother: str, pieces: int) -> list[str]:
    standing: list[str] = []
    for _ in range(pieces):
        standing.append(next_arm(plan, mother, standing))
    return standing


@pytest.mark.parametrize(("plan", "most"), [(PAIR, 2), (TRIPLE, 2), (PARTS, 1)])
def test_arms_stay_balanced_within_each_mother(plan: Plan, most: int) -> None:
    for mother in range(300):
        name = f"mother {mother}"
        standing = glue(plan, name, 12)
        assert standing == list(islice(sequence(plan, name), 12))
        for upto in range(1, 13):
            found = Counter(standing[:upto])
            counts = [found[arm] for arm in plan.arms]
            assert max(counts) - min(counts) <= most


def test_taking_back_and_doing_again_gives_the_same_arm() -> None:
    for mother in range(100):
        standing = glue(PAIR, f"mother {mother}", 9)
        for gone in range(9):
            kept = standing[:gone] + standing[gone + 1 :]
            assert next_arm(PAIR, f"mother {mother}", kept) == standing[gone]


def test_nobody_changes_their_arm_by_gluing_another_first_and_taking_that_back() -> None:
    for mother in range(100):
        name, standing = f"mother {mother}", glue(PAIR, f"mother {mother}", 4)
        drawn = next_arm(PAIR, name, standing)
        other = next_arm(PAIR, name, [*standing, drawn])
        assert next_arm(PAIR, name, [*standing, other]) == drawn


def test_two_phones_offline_on_one_mother_both_stand_and_the_next_draws_make_up_for_it() -> None:
    """Each draws three as if alone. All six stand; balance is off by at most twice what one phone's
    draws may be, and six draws on it is back to what it is for anybody."""
    worst = 0
    for mother in range(300):
        name = f"mother {mother}"
        alone = glue(PAIR, name, 3)
        standing = [*alone, *alone]
        off = Counter(standing)
        worst = max(worst, abs(off["base.a"] - off["base.b"]))
        for _ in range(6):
            standing.append(next_arm(PAIR, name, standing))
        after = Counter(standing)
        assert abs(after["base.a"] - after["base.b"]) <= 2
    assert worst == 2
