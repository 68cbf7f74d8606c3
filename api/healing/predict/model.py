"""The fitted model: what is known of its effects, as draws that carry how sure it is of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import RowsError
from api.healing.predict.climb import Top
from api.healing.predict.columns import Columns, traits, whole_column
from api.healing.predict.landmark import Landmark, Seen
from api.healing.rows import FloatArray, IntArray

Whole = npt.ArrayLike


@dataclass(frozen=True)
class Standing:
    """p pieces still healing as they were last seen; build it with `of`.

    `left` (p,) is the last day somebody looked at the piece itself, `alive` the last day it was
    seen alive, `today` the present day, all in whole days since the piece's own cut;
    `group`, `cluster` and `x` as in `fit`. Methods and cuts that it has not seen are allowed.
    `seen` is what was known of mouth and encrustation at the last look; None for nothing.
    """

    left: IntArray
    alive: IntArray
    today: IntArray
    group: IntArray
    cluster: IntArray
    x: FloatArray
    seen: Seen | None = None

    @classmethod
    def of(
        cls, left: Whole, alive: Whole, today: Whole, group: Whole, cluster: Whole,
        x: npt.ArrayLike | None = None, seen: Seen | None = None,
    ) -> Standing:  # fmt: skip
        """Checked; RowsError for shapes, for numbers that are not whole, or days out of order."""
        size = int(np.size(left))
        found = cls(
            whole_column("left", left, size), whole_column("alive", alive, size),
            whole_column("today", today, size), whole_column("group", group, size),
            whole_column("cluster", cluster, size), traits(x, size), seen,
        )  # fmt: skip
        if seen is not None and seen.mouth.size != size:
            raise RowsError(f"There are {size} pieces and {seen.mouth.size} mouths.")
        bad = (found.left < 0) | (found.alive < found.left) | (found.today < found.alive)
        if bad.any():
            raise RowsError(
                f"Piece {int(np.argmax(bad))}: its last look, the day it was last seen alive and "
                f"today are not in this order ({int(bad.sum())} such pieces)."
            )
        return found

    def part(self, index: IntArray) -> Standing:
        """Some of the pieces."""
        return Standing(
            self.left[index], self.alive[index], self.today[index], self.group[index],
            self.cluster[index], self.x[index],
            None if self.seen is None else self.seen.part(index),
        )  # fmt: skip


@dataclass(frozen=True)
class Draws:
    """M draws of the effects that p pieces need: fixed (M, 1 + k, 3), shape (M, 2) of logarithms,
    method (M, G, 3) and cut (M, C, 3) with each piece's places among them, and a cut of each draw
    that is nobody's, `new` (M, 3)."""

    fixed: FloatArray
    shape: FloatArray
    method: FloatArray
    cut: FloatArray
    of_method: IntArray
    of_cut: IntArray
    new: FloatArray
    design: FloatArray

    def five(self, index: IntArray, own_cut: bool = True) -> FloatArray:
        """The five numbers of `mixture` in each draw, (M, len(index), 5)."""
        three = self.design[index] @ self.fixed + self.method[:, self.of_method[index]]
        three = three + (self.cut[:, self.of_cut[index]] if own_cut else self.new[:, None])
        shape = np.broadcast_to(self.shape[:, None], (*three.shape[:2], 2))
        return np.concatenate((three, shape), axis=2)


@dataclass(frozen=True)
class Model:
    """As `pooled.fit` makes it. `top` is where the climb ended; `method_sd` and `cut_sd` (3,) are
    how far methods and cuts spread on logit pi, log scale ready and log scale lost; `methods`,
    `cuts` name those seen. `landmark` is what looks tell beside (`landmark_fit.learn`), if they
    do."""

    top: Top
    columns: Columns
    methods: IntArray
    cuts: IntArray
    cuts_inside: bool
    method_sd: FloatArray
    cut_sd: FloatArray
    landmark: Landmark | None = None

    @property
    def shapes(self) -> FloatArray:
        """Weibull shapes of ready and of lost, (2,)."""
        return np.exp(self.top.at.shape)

    def draws(self, pieces: Standing, count: int = 200, seed: int = 0) -> Draws:
        """An even number of draws from the normal approximation to what is known (Laplace).

        Effects of unseen methods and cuts are drawn from how those seen spread. RowsError where
        the pieces have other traits than the model.
        """
        if pieces.x.shape[1] != self.columns.width:
            raise RowsError(
                f"The pieces have {pieces.x.shape[1]} traits, the model {self.columns.width}."
            )
        random = np.random.default_rng(seed)
        step, inner = self.top.curvature.draws(random, count)
        at, size = self.top.at, self.top.at.outer.size
        outer = at.outer + np.swapaxes(step[:, :size].reshape(count, 3, -1), 1, 2)
        first = 1 + self.columns.kept.size
        sides = outer[:, first:], at.inner + inner
        method, cut = sides if self.cuts_inside else sides[::-1]
        of_method, method = _with_unseen(self.methods, method, pieces.group, self.method_sd, random)
        of_cut, cut = _with_unseen(self.cuts, cut, pieces.cluster, self.cut_sd, random)
        new = _normal(random, (count, 3)) * self.cut_sd
        return Draws(
            outer[:, :first], at.shape + step[:, size:], method, cut, of_method, of_cut, new,
            self.columns.design(pieces.x),
        )  # fmt: skip

    def best(self, pieces: Standing) -> FloatArray:
        """The five numbers of each piece at the mode, (p, 5); unseen methods and cuts count 0."""
        at, first = self.top.at, 1 + self.columns.kept.size
        sides = at.outer[first:], at.inner
        method, cut = sides if self.cuts_inside else sides[::-1]
        three = self.columns.design(pieces.x) @ at.outer[:first]
        for names, effect, asked in (
            (self.methods, method, pieces.group), (self.cuts, cut, pieces.cluster)
        ):  # fmt: skip
            place, seen = _places(names, asked)
            three = three + np.where(seen[:, None], effect[place], 0.0)
        return np.concatenate((three, np.tile(at.shape, (three.shape[0], 1))), axis=1)


def _places(names: IntArray, asked: IntArray) -> tuple[IntArray, npt.NDArray[np.bool_]]:
    place = np.minimum(np.searchsorted(names, asked), names.size - 1)
    return place, names[place] == asked


def _with_unseen(
    names: IntArray, effect: FloatArray, asked: IntArray, sd: FloatArray,
    random: np.random.Generator,
) -> tuple[IntArray, FloatArray]:  # fmt: skip
    place, seen = _places(names, asked)
    unseen, code = np.unique(asked[~seen], return_inverse=True)
    place[~seen] = names.size + code
    fresh = _normal(random, (effect.shape[0], unseen.size, 3)) * sd
    return place, np.concatenate((effect, fresh), axis=1)


def _normal(random: np.random.Generator, shape: tuple[int, ...]) -> FloatArray:
    half = random.standard_normal((shape[0] // 2, *shape[1:]))
    return np.concatenate((half, -half))
