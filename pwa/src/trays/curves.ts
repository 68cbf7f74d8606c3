/**
 * The chance that a piece which is still healing has left its place by a later day, from the farm's
 * own curves (the joint nonparametric maximum likelihood of ready and lost, as the server reports
 * it), conditioned on its last looks. Pure.
 *
 *   P(left by t | not ready by a, not lost by b)
 *     = [F_ready(t) - F_ready(a) + F_lost(t) - F_lost(b)] / [1 - F_ready(a) - F_lost(b)]
 *
 * with a the last look at the piece itself and b the last time it was seen alive, sweeps included,
 * in days since its cut. Where looks leave a curve open between two days its lowest and highest
 * course are both carried through: nothing is interpolated.
 */
import type { CurvePoint, Group, Report } from '../healing/report.ts'

type Shares = Omit<CurvePoint, 'day'>

export interface Curve {
  readonly points: readonly CurvePoint[]
  /** The last day it is known for; without end where by then every piece was ready or lost. */
  readonly end: number
}

export interface Curves {
  readonly byMethod: ReadonlyMap<string, Curve>
  /** Of all pieces together, as the server estimates them in one; null where they make no curve. */
  readonly pooled: Curve | null
}

/** Days since the cut. */
export interface Seen {
  readonly looked: number
  readonly alive: number
}

/** The lowest and the highest chance that the curve allows. */
export interface Chance {
  readonly low: number
  readonly high: number
}

const NOTHING = 1e-9
const ZERO: Shares = { ready_low: 0, ready_high: 0, lost_low: 0, lost_high: 0 }

export function curvesOf(report: Report): Curves {
  const drawn = report.groups.filter((group) => group.curve.length > 0)
  const byMethod = new Map(drawn.map((group) => [group.key, curveOf(group)]))
  // A report of one group has no other whole.
  const whole = report.all ?? (report.groups.length === 1 ? report.groups[0] : undefined)
  return { byMethod, pooled: whole && whole.curve.length > 0 ? curveOf(whole) : null }
}

/** A report's curve ends with a point on the last day that may be drawn. */
function curveOf({ curve }: Group): Curve {
  const last = curve.at(-1) ?? { ...ZERO, day: 0 }
  return { points: curve, end: last.ready_low + last.lost_low >= 1 - NOTHING ? Infinity : last.day }
}

/** Shares by the end of a day; null where the curve does not reach that far. */
function at({ points, end }: Curve, day: number): Shares | null {
  return day > end ? null : (points.findLast((point) => point.day <= day) ?? ZERO)
}

/** That it has become ready or was lost by day `until`; null where the curve cannot tell. */
export function leaves(curve: Curve, seen: Seen, until: number): Chance | null {
  const [then, here] = [at(curve, until), still(curve, seen)]
  if (!then || !here) return null
  const [fewest, most] = [1 - then.ready_high - then.lost_high, 1 - then.ready_low - then.lost_low]
  return { low: share(1 - most / here.low), high: share(1 - Math.max(0, fewest) / here.high) }
}

/** That it was lost by day `until` before it was ready; null where the curve cannot tell. */
export function isLost(curve: Curve, seen: Seen, until: number): Chance | null {
  const [then, here, before] = [at(curve, until), still(curve, seen), at(curve, seen.alive)]
  if (!then || !here || !before) return null
  return { low: share((then.lost_low - before.lost_high) / here.high), high: share((then.lost_high - before.lost_low) / here.low) }
}

/** The share that is seen healing as late as this piece; null where the farm has seen none. */
function still(curve: Curve, { looked, alive }: Seen): Chance | null {
  const [ready, lost] = [at(curve, looked), at(curve, alive)]
  if (!ready || !lost) return null
  const high = 1 - ready.ready_low - lost.lost_low
  return high < NOTHING ? null : { low: Math.max(NOTHING, 1 - ready.ready_high - lost.lost_high), high }
}

const share = (value: number) => Math.min(1, Math.max(0, value))
