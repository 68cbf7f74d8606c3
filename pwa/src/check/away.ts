/**
 * Answers that are tapped and not saved. They are written down as they are tapped: a phone short of
 * memory may put the page away while its camera is open, and a wet thumb slips from Save onto the
 * bar below. They are found again where the same person opens the same piece's check soon after.
 */
import { drop, keep, kept, mayHave } from '../kit/kept.ts'
import type { Answers } from './answers.ts'

const KEY = 'nubbin.check'
/** Older answers would say of now what was seen then. */
export const FRESH_MS = 15 * 60_000

export interface Left {
  readonly piece: string
  /** Who answered; null where nobody was known to hold the phone. */
  readonly staff: string | null
  readonly at: number
  readonly answers: Answers
}

export function leave(left: Left): void {
  write([...fresh(left.at).filter((one) => one.piece !== left.piece), left])
}

/** Nothing of this piece is to be found again. */
export function forget(piece: string): void {
  write(fresh(Date.now()).filter((one) => one.piece !== piece))
}

/** What they answered of the piece; what somebody else left, and what is old, is dropped. */
export function found(piece: string, staff: string | null, now = Date.now()): Left | null {
  const there = fresh(now)
  const theirs = there.filter((one) => mayHave(one.staff, staff))
  // While nobody is known to be here, who left it may still come back.
  write(staff === null ? there : theirs)
  return theirs.find((one) => one.piece === piece) ?? null
}

function fresh(now: number): readonly Left[] {
  const all = kept<unknown>(KEY)
  // An earlier version kept one check, and nobody's name with it.
  return Array.isArray(all) ? (all as readonly Left[]).filter((one) => now - one.at < FRESH_MS) : []
}

function write(all: readonly Left[]): void {
  if (all.length > 0) keep(KEY, all)
  else drop(KEY)
}
