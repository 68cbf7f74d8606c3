"""The chance of what was seen of each piece: two Weibull distributions, mixed.

A piece is one that will be ready, with chance pi, or one that will be lost; its day then follows
a Weibull distribution of its own, S(t) = exp(-u), u = (t / scale)^shape. With last look a, last
seen alive b, a row contributes
    ready in (l, r]   pi (S1(l) - S1(r))
    lost in (l, r]    (1 - pi) (S2(l) - S2(r))
    still healing     pi S1(a) + (1 - pi) S2(b)
(mixture of latent causes: Larson & Dinse 1985, Appl Stat 34:201; from memory). Everything is kept
as logarithms. A row depends on five numbers, in this order wherever there are five:
    logit pi, log scale ready, log scale lost, log shape ready, log shape lost.
A logit of +inf leaves one cause: the ordinary interval-censored Weibull regression.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows

# log u is kept between these, so that neither u nor its derivatives leave floating point; the
# likelihood of such a row is past all help long before.
LEAST, MOST = -250.0, 40.0
# Stands for log 0; any shape leaves it below LEAST.
LOG_ZERO = -1e6


@dataclass(frozen=True)
class Bounds:
    """Logarithms of the days of n rows, (n,), and which rows are of which kind."""

    log_left: FloatArray
    log_right: FloatArray
    ready: IntArray
    lost: IntArray
    still: IntArray

    @classmethod
    def of(cls, rows: IntervalRows) -> Bounds:
        """From checked rows."""
        kinds = (np.flatnonzero(rows.cause == kind) for kind in Cause)
        return cls(log_day(rows.left), log_day(rows.right), *kinds)


@dataclass(frozen=True)
class Terms:
    """Log-likelihood of each row, (n,), its slope, (n, 5), and its curvature, (n, 5, 5).

    `tame` (n, 5, 5) is the curvature if it were known of each row still healing what it will be:
    that of the function which one step of expectation and maximisation climbs. In the first three
    numbers it is never positive, since Weibull intervals are log-concave in the log scale.
    """

    value: FloatArray
    slope: FloatArray
    curve: FloatArray
    tame: FloatArray


def log_day(days: FloatArray | IntArray) -> FloatArray:
    """Natural logarithm of days >= 0, finite on day 0."""
    safe = np.log(np.maximum(days, 1e-300))
    return np.where(np.asarray(days) > 0, safe, LOG_ZERO)


def log_power(log_time: FloatArray, scale: FloatArray, log_shape: FloatArray) -> FloatArray:
    """log u = shape (log t - log scale), within LEAST and MOST; arrays that broadcast."""
    return np.clip(np.exp(log_shape) * (log_time - scale), LEAST, MOST)


def log_shares(logit: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(log pi, log(1 - pi)) of the same shape; a logit of +-inf is allowed."""
    return -np.logaddexp(0.0, -logit), -np.logaddexp(0.0, logit)


def row_terms(bounds: Bounds, five: FloatArray) -> Terms:
    """Value, slope and curvature of each row at its five numbers, (n, 5); weights are not in it."""
    n = five.shape[0]
    tame = np.zeros((n, 5, 5))
    terms = Terms(np.zeros(n), np.zeros((n, 5)), tame, tame)
    for index, cause in ((bounds.ready, 0), (bounds.lost, 1)):
        _put_events(terms, bounds, five, index, cause)
    more = _put_still(terms, bounds, five)
    curve = tame.copy()
    curve[bounds.still] += more
    return Terms(terms.value, terms.slope, curve, tame)


def row_values(bounds: Bounds, five: FloatArray) -> FloatArray:
    """The log-likelihood of each row alone, (n,)."""
    value = np.zeros(five.shape[0])
    pi, rest = log_shares(five[:, 0])
    for index, cause in ((bounds.ready, 0), (bounds.lost, 1)):
        scale, shape = five[index, 1 + cause], five[index, 3 + cause]
        early = log_power(bounds.log_left[index], scale, shape)
        late = log_power(bounds.log_right[index], scale, shape)
        share = (pi if cause == 0 else rest)[index]
        value[index] = share - np.exp(early) + _log_one_minus(_apart(early, late))
    s = bounds.still
    u = np.exp(log_power(bounds.log_left[s], five[s, 1], five[s, 3]))
    v = np.exp(log_power(bounds.log_right[s], five[s, 2], five[s, 4]))
    value[s] = np.logaddexp(pi[s] - u, rest[s] - v)
    return value


def _put_events(terms: Terms, bounds: Bounds, five: FloatArray, index: IntArray, k: int) -> None:
    """log pi - u(l) + log(1 - exp(-d)), d = u(r) - u(l), with w = 1 / (exp(d) - 1)."""
    scale, shape = five[index, 1 + k], five[index, 3 + k]
    early = log_power(bounds.log_left[index], scale, shape)
    late = log_power(bounds.log_right[index], scale, shape)
    shares = log_shares(five[index, 0])
    d = _apart(early, late)
    w = (np.exp(-d) / -np.expm1(-d))[:, None]
    (first, second), (first_late, second_late) = _moves(early, shape), _moves(late, shape)
    step, bend = first_late - first, second_late - second
    ready, lost = np.exp(shares[0]), np.exp(shares[1])
    terms.value[index] = shares[k] - np.exp(early) + _log_one_minus(d)
    terms.slope[index, 0] = lost if k == 0 else -ready
    terms.tame[index, 0, 0] = -ready * lost
    terms.slope[index[:, None], np.array([[1 + k, 3 + k]])] = w * step - first
    # w step and (1 + w) step are finite where w squared is not.
    one, two = w * step, (1.0 + w) * step
    cross = np.stack((one[:, 0] * two[:, 0], one[:, 0] * two[:, 1], one[:, 1] * two[:, 1]), 1)
    _put_pair(terms.tame, index, (1 + k, 3 + k), w * bend - second - cross)


def _put_still(terms: Terms, bounds: Bounds, five: FloatArray) -> FloatArray:
    """log(exp A + exp B): slopes are averaged by r = exp(A) / (exp A + exp B), and the curvature
    gains r (1 - r) (A' - B') (A' - B')', which is returned, (still, 5, 5)."""
    s = bounds.still
    log_u = log_power(bounds.log_left[s], five[s, 1], five[s, 3])
    log_v = log_power(bounds.log_right[s], five[s, 2], five[s, 4])
    pi, rest = log_shares(five[s, 0])
    a, b = pi - np.exp(log_u), rest - np.exp(log_v)
    terms.value[s] = np.logaddexp(a, b)
    r, q = np.exp(a - terms.value[s])[:, None], np.exp(b - terms.value[s])[:, None]
    (first_u, second_u), (first_v, second_v) = (
        _moves(log_u, five[s, 3]), _moves(log_v, five[s, 4])
    )  # fmt: skip
    slope_a, slope_b = np.zeros((2, s.size, 5))
    slope_a[:, 0], slope_b[:, 0] = np.exp(rest), -np.exp(pi)
    slope_a[:, [1, 3]], slope_b[:, [2, 4]] = -first_u, -first_v
    terms.slope[s] = r * slope_a + q * slope_b
    apart = slope_a - slope_b
    terms.tame[s, 0, 0] = -np.exp(pi + rest)
    _put_pair(terms.tame, s, (1, 3), -r * second_u)
    _put_pair(terms.tame, s, (2, 4), -q * second_v)
    more: FloatArray = (r * q)[:, :, None] * (apart[:, :, None] * apart[:, None, :])
    return more


def _moves(log_u: FloatArray, log_shape: FloatArray) -> tuple[FloatArray, FloatArray]:
    """First derivatives of u by (log scale, log shape), (n, 2), and second ones, (n, 3)."""
    u, k = np.exp(log_u), np.exp(log_shape)
    first = np.stack((-k * u, u * log_u), axis=1)
    more = 1.0 + log_u
    return first, np.stack((k * k * u, -k * u * more, u * log_u * more), axis=1)


def _apart(early: FloatArray, late: FloatArray) -> FloatArray:
    """u(late) - u(early) > 0 from their logarithms, without cancellation."""
    gap = np.minimum(early - late, -1e-15)
    return np.exp(late + np.log(-np.expm1(gap)))


def _log_one_minus(d: FloatArray) -> FloatArray:
    """log(1 - exp(-d)) for d > 0 (Maechler 2012, from memory: expm1 below log 2, else log1p)."""
    small = d < 0.6931471805599453
    near = np.log(-np.expm1(-np.where(small, d, 1.0)))
    return np.where(small, near, np.log1p(-np.exp(-np.where(small, 1.0, d))))


def _put_pair(curve: FloatArray, index: IntArray, at: tuple[int, int], three: FloatArray) -> None:
    i, j = at
    curve[index, i, i] += three[:, 0]
    curve[index, i, j] += three[:, 1]
    curve[index, j, i] += three[:, 1]
    curve[index, j, j] += three[:, 2]
