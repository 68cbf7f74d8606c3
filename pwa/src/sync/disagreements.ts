/** Records that do not go together, each with the record it goes against. Pure. */
import type { Flag, FlagKind } from '../stock/state.ts'
import type { PieceRecord, WholePiece } from './views.ts'

export interface Disagreement {
  /** The same on every phone. */
  readonly key: string
  readonly piece: WholePiece
  readonly what: FlagKind
  /** The earlier of the two by its place in the fold first; null where it is not on this phone. */
  readonly records: readonly (PieceRecord | null)[]
}

export function disagreements(piece: WholePiece): Disagreement[] {
  return piece.state.flags.map((flag) => ({
    key: `${piece.id} ${flag.what} ${flag.record}`,
    piece,
    what: flag.what,
    records: sides(piece, flag),
  }))
}

/** Both records of a flag. */
export function sides(piece: WholePiece, flag: Flag): (PieceRecord | null)[] {
  // What was recorded before a piece began goes against the beginning, which came to be known later.
  const other = flag.against ?? piece.state.begun?.record ?? null
  const find = (id: string) => piece.records.find((entry) => entry.record.id === id) ?? null
  const pair = flag.what === 'before-glue' ? [flag.record, other] : [other, flag.record]
  return pair.filter((id) => id !== null).map(find)
}
