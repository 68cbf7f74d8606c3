/** What became of a cut's pieces, counted. Pure. */
import type { PieceState } from '../stock/state.ts'

export interface Became {
  readonly healing: number
  readonly ready: number
  readonly lost: number
  /** Sold, given, culled or cut up whole. */
  readonly gone: number
}

export function became(states: readonly Pick<PieceState, 'stage'>[]): Became {
  const count = (...stages: PieceState['stage'][]) => states.filter(({ stage }) => stages.includes(stage)).length
  return { healing: count('healing', 'colony', 'unknown'), ready: count('ready'), lost: count('lost'), gone: count('exited') }
}
