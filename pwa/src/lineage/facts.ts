/** What of pieces and cuts a family tree is made of. */
import type { PieceState } from '../stock/state.ts'

export interface PieceFact {
  readonly id: string
  readonly state: Pick<PieceState, 'stage' | 'cut' | 'begun' | 'ready_sale' | 'ready_cut'>
}

export interface CutFact {
  readonly id: string
  readonly mother: string
  readonly at: number
  readonly day: string | null
  readonly method: string | null
  readonly gone: boolean
}

/** What began earlier first; what began at one time by its id. */
export function inOrderOfBeginning(a: PieceFact, b: PieceFact): number {
  return began(a) - began(b) || (a.id < b.id ? -1 : 1)
}

function began({ state }: PieceFact): number {
  return state.begun?.at ?? Infinity
}
