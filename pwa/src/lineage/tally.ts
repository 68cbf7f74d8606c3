/** How many pieces there are of each fate. Pure. */
import type { PieceState } from '../stock/state.ts'

/** `gone` has left the farm or was used up in a cut; `other` is a colony, or began unknown. */
export const FATES = ['healing', 'ready', 'lost', 'gone', 'other'] as const
export type Fate = (typeof FATES)[number]

export interface Tally extends Readonly<Record<Fate, number>> {
  /** All of them. */
  readonly pieces: number
  /** Those that were ready at any time, whatever became of them. */
  readonly readied: number
}

export function none(): Tally {
  return { pieces: 0, healing: 0, ready: 0, lost: 0, gone: 0, other: 0, readied: 0 }
}

export function fateOf({ stage }: Pick<PieceState, 'stage'>): Fate {
  if (stage === 'exited') return 'gone'
  return stage === 'healing' || stage === 'ready' || stage === 'lost' ? stage : 'other'
}

/** One piece; null where nothing is known of it but that others were cut from it. */
export function one(state: Pick<PieceState, 'stage' | 'ready_sale' | 'ready_cut'> | null): Tally {
  if (state === null) return none()
  const readied = state.ready_sale !== null || state.ready_cut !== null
  return { ...none(), pieces: 1, [fateOf(state)]: 1, readied: Number(readied) }
}

/** Of pieces that are on this phone. */
export function tallyOf(pieces: readonly { readonly state: Pick<PieceState, 'stage' | 'ready_sale' | 'ready_cut'> }[]): Tally {
  return pieces.reduce((sum, { state }) => add(sum, one(state)), none())
}

export function add(a: Tally, b: Tally): Tally {
  return {
    pieces: a.pieces + b.pieces,
    healing: a.healing + b.healing,
    ready: a.ready + b.ready,
    lost: a.lost + b.lost,
    gone: a.gone + b.gone,
    other: a.other + b.other,
    readied: a.readied + b.readied,
  }
}
