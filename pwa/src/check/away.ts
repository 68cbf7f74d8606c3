/**
 * A phone short of memory may put the page away while its camera is open. What was answered is
 * written down just before, and found again when the same piece's check is opened soon after.
 */
import { drop, keep, kept } from '../kit/kept.ts'
import { NONE, type Answers } from './answers.ts'

const KEY = 'nubbin.check'
const FRESH_MS = 15 * 60_000

interface Left {
  readonly piece: string
  readonly at: number
  readonly answers: Answers
}

export function leave(piece: string, answers: Answers): void {
  keep(KEY, { piece, at: Date.now(), answers } satisfies Left)
}

/** The page is still there: nothing has to be found again. */
export function back(): void {
  drop(KEY)
}

/** What was answered before the camera was opened, once; nothing where it is of another piece or old. */
export function found(piece: string, now = Date.now()): Answers {
  const left = kept<Left>(KEY)
  drop(KEY)
  return left?.piece === piece && now - left.at < FRESH_MS ? { ...NONE, ...left.answers } : NONE
}
