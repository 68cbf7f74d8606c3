/** What a mother, or a whole line, has given. Counts and days between; nothing is estimated. Pure. */
import { daysBetween } from '../stock/days.ts'
import type { PieceFact } from './facts.ts'
import { add, none, type Tally } from './tally.ts'
import { inReadingOrder, type Branch, type Families, type Member } from './tree.ts'

export interface Yield {
  readonly mothers: number
  readonly cuts: number
  /** Glued from those cuts themselves. */
  readonly glued: Tally
  /** Pieces of the cut that gave fewest and of the one that gave most; null without a cut. */
  readonly least: number | null
  readonly most: number | null
  /** Pieces a cut; null without a cut. */
  readonly mean: number | null
  /** Days from one day on which a mother was cut to her next, shortest first. */
  readonly gaps: readonly number[]
  /** Of all generations. */
  readonly led: Tally
  readonly generations: number
}

/** What one mother's own cuts have given, and how many pieces she has led to. */
export function yieldOf(mother: Member): Yield {
  return summed([mother], mother.below, mother.deep)
}

/** What the trees that begin with these have given together. */
export function yieldOfAll<P extends PieceFact>(families: Families<P>, roots: readonly string[]): Yield {
  const tops = roots.flatMap((id) => families.members.get(id) ?? [])
  const mothers = roots.flatMap((id) => mothersIn(families, id))
  const led = tops.reduce((sum, { below }) => add(sum, below), none())
  return summed(mothers, led, Math.max(0, ...tops.map(({ deep }) => deep)))
}

/** Everything in a tree that was ever cut; those that led to most pieces first. */
export function mothersIn<P extends PieceFact>(families: Families<P>, root: string): Member<P>[] {
  const found = inReadingOrder(families, root).filter(({ cuts }) => cuts.length > 0)
  return found.sort((a, b) => b.below.pieces - a.below.pieces)
}

function summed(mothers: readonly Member[], led: Tally, generations: number): Yield {
  const cuts = mothers.flatMap((mother) => mother.cuts)
  const counts = cuts.map(({ own }) => own.pieces).sort((a, b) => a - b)
  const glued = cuts.reduce((sum, { own }) => add(sum, own), none())
  return {
    mothers: mothers.length,
    cuts: cuts.length,
    glued,
    least: counts[0] ?? null,
    most: counts.at(-1) ?? null,
    mean: cuts.length === 0 ? null : glued.pieces / cuts.length,
    gaps: mothers.flatMap((mother) => gapsOf(mother.cuts)).sort((a, b) => a - b),
    led,
    generations,
  }
}

/** Two cuts on one day are one occasion: nothing lies between them. */
function gapsOf(cuts: readonly Branch[]): number[] {
  const days = [...new Set(cuts.flatMap(({ day }) => day ?? []))].sort()
  return days.slice(1).map((day, at) => daysBetween(days[at] as string, day))
}

/** The middle one, or the mean of the middle two; null of nothing. `sorted` ascends. */
export function median(sorted: readonly number[]): number | null {
  const half = Math.floor(sorted.length / 2)
  const [low, high] = [sorted[sorted.length % 2 === 1 ? half : half - 1], sorted[half]]
  return low === undefined || high === undefined ? null : (low + high) / 2
}
