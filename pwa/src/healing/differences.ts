/** A difference in words, and where it lies on a line with a zero. Pure. */
import { t } from '../words/index.ts'
import { readings, type Diff, type Pair, type Reading } from './comparison.ts'

/** Days until half are ready, the mean day of those that got ready, and pieces of a hundred. */
export type Quantity = 'days' | 'mean' | 'ready' | 'lost'

/** One quantity in each reading that has it. */
export interface Drawing {
  readonly of: Quantity
  readonly name: string
  readonly lines: readonly { readonly reading: Reading; readonly diff: Diff }[]
}

const wordsOf = (of: Quantity) => (of === 'mean' ? 'days' : of)

/** Whole days and whole pieces of a hundred: more would promise what nobody can see. */
const whole = (value: number) => Math.round(value) + 0

function sized(value: number, of: Quantity): string {
  const size = whole(value)
  if (size === 0) return t(`healing.compare.${wordsOf(of)}.same`)
  return t(`healing.compare.${wordsOf(of)}.${size < 0 ? 'less' : 'more'}`, { count: Math.abs(size) })
}

/** '5 to 57 days earlier', '7 days earlier to 46 days later'. */
function bothSides(low: number, high: number, of: Quantity): string {
  const [from, to] = [whole(low), whole(high)]
  if (from === to) return sized(low, of)
  if (from > 0) return t(`healing.compare.${wordsOf(of)}.moreTo`, { low: from, high: to })
  if (to < 0) return t(`healing.compare.${wordsOf(of)}.lessTo`, { low: -to, high: -from })
  return t('healing.compare.range', { low: sized(low, of), high: sized(high, of) })
}

/** A limit on one side, by the size and not by the sign: no more than -9 days is at least 9 earlier. */
function oneSided(limit: number, least: boolean, of: Quantity): string {
  if (whole(limit) === 0) return t(`healing.compare.${wordsOf(of)}.${least ? 'notLess' : 'notMore'}`)
  const size = sized(limit, of)
  return whole(limit) > 0 === least ? t('healing.compare.atLeast', { size }) : t('healing.compare.atMost', { size })
}

/** One number, a range, or the one end of it that is known. */
function between(low: number | null, high: number | null, of: Quantity): string {
  if (low === null) return high === null ? t('healing.compare.open') : oneSided(high, false, of)
  return high === null ? oneSided(low, true, of) : bothSides(low, high, of)
}

/** '24 days earlier (95 %: 57 days earlier to 2 days later)'. */
export function diffText(diff: Diff | null, of: Quantity): string {
  if (diff === null) return t('healing.table.none')
  const [best, limits] = [between(diff.least, diff.most, of), [diff.low, diff.high]]
  if (limits.every((limit) => limit === null)) return t('healing.compare.noLimits', { best })
  return t('healing.compare.both', { best, limits: between(diff.low, diff.high, of) })
}

/** What there is to show of a pair, in one reading or in all. Within cuts the days are those of pieces that got ready: no median. */
export function drawingsOf(pair: Pair, only?: Reading): Drawing[] {
  const read = readings(pair).filter(({ of }) => only === undefined || of === only)
  const day = read[0]?.sizes.at_day ?? 0
  const lines = (of: 'days' | 'ready' | 'lost', wanted: (reading: Reading) => boolean) =>
    read.flatMap(({ of: reading, sizes }) => {
      const diff = sizes[of]
      return diff && wanted(reading) ? [{ reading, diff }] : []
    })
  const found: Drawing[] = [
    { of: 'days', name: t('healing.compare.days.name'), lines: lines('days', (one) => one !== 'within') },
    { of: 'mean', name: t('healing.compare.mean'), lines: lines('days', (one) => one === 'within') },
    { of: 'ready', name: t('healing.compare.ready.name', { day }), lines: lines('ready', () => true) },
    { of: 'lost', name: t('healing.compare.lost.name', { day }), lines: lines('lost', () => true) },
  ]
  return found.filter((one) => one.lines.length > 0)
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
