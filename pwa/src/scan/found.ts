/**
 * How the piece at hand was found, carried from the pad to its check: there it tells how long the
 * labels of each base kind can be read. In memory only: a piece that is opened later, from a list,
 * was not found by its label.
 */
import type { Found, Id } from '../records/fields.ts'

/** A round goes from the pad to the check in seconds; longer ago it was another look. */
const GOOD_FOR_MS = 10 * 60_000

let last: { readonly piece: Id; readonly how: Found; readonly at: number } | null = null

export function noteFound(piece: Id, how: Found, now = Date.now()): void {
  last = { piece, how, at: now }
}

/** A check of the piece has told it: the next one was not found by it again. */
export function foundSpent(piece: Id): void {
  if (last?.piece === piece) last = null
}

/** How this piece was found just now; undefined where it was opened in another way. */
export function howFound(piece: Id, now = Date.now()): Found | undefined {
  return last?.piece === piece && now - last.at < GOOD_FOR_MS ? last.how : undefined
}
