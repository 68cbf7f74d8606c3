/** A difference in words, and where it lies on a line with a zero. Pure. */
import { t } from '../words/index.ts'
import type { Diff } from './comparison.ts'

export type Quantity = 'days' | 'ready' | 'lost'

/** Whole days and whole pieces of a hundred: more would promise what nobody can see. */
const whole = (value: number) => Math.round(value) + 0

function sized(value: number, of: Quantity): string {
  const size = whole(value)
  if (size === 0) return t(`healing.compare.${of}.same`)
  return t(`healing.compare.${of}.${size < 0 ? 'less' : 'more'}`, { count: Math.abs(size) })
}

/** One number, a range, or the one end of it that is known. */
function between(low: number | null, high: number | null, of: Quantity): string {
  if (low === null && high === null) return t('healing.compare.open')
  if (low === null) return t('healing.compare.atMost', { size: sized(high ?? 0, of) })
  if (high === null) return t('healing.compare.atLeast', { size: sized(low, of) })
  if (whole(low) === whole(high)) return sized(low, of)
  return t('healing.compare.range', { low: sized(low, of), high: sized(high, of) })
}

/** '24 days earlier (95 %: 57 days earlier to 2 days later)'. */
export function diffText(diff: Diff | null, of: Quantity): string {
  if (diff === null) return t('healing.table.none')
  const [best, limits] = [between(diff.least, diff.most, of), [diff.low, diff.high]]
  if (limits.every((limit) => limit === null)) return t('healing.compare.noLimits', { best })
  return t('healing.compare.both', { best, limits: between(diff.low, diff.high, of) })
}

/** The ends of a line that holds zero and all that is known of the differences, in round steps. */
export function span(diffs: readonly Diff[]): { readonly low: number; readonly high: number } {
  const known = diffs.flatMap(({ least, most, low, high }) => [least, most, low, high]).filter((one) => one !== null)
  const [low, high] = [Math.min(0, ...known), Math.max(0, ...known)]
  const step = [1, 2, 5, 10, 20, 50, 100, 200, 500].find((one) => (high - low) / one <= 8) ?? 1000
  // A step of room on both sides: an end without a limit runs off the line.
  return { low: (Math.floor(low / step) - 1) * step, high: (Math.ceil(high / step) + 1) * step }
}

/** Where a difference is drawn, in pixels from the left; an end that has no limit is at the edge. */
export interface Drawn {
  readonly from: number
  readonly to: number
  readonly openLow: boolean
  readonly openHigh: boolean
  readonly best: { readonly from: number; readonly to: number } | null
}

export function drawn(diff: Diff, ends: { readonly low: number; readonly high: number }, width: number): Drawn | null {
  const x = (value: number) => ((value - ends.low) / (ends.high - ends.low)) * width
  const { least, most, low, high } = diff
  if ([least, most, low, high].every((one) => one === null)) return null
  const limits = low !== null || high !== null
  const edge = { low: limits ? low : least, high: limits ? high : most }
  return {
    from: edge.low === null ? 0 : x(edge.low),
    to: edge.high === null ? width : x(edge.high),
    openLow: edge.low === null,
    openHigh: edge.high === null,
    best: least === null || most === null ? null : { from: x(least), to: x(most) },
  }
}
