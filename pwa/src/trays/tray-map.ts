/** A tray's map: what stands at each place, and which places are free. Pure. */
import type { PieceView } from '../sync/views.ts'
import { columnLetters, readPlace, within, writePlace, type Spot } from './places.ts'

export interface Cell {
  /** Such as B7. */
  readonly place: string
  /** Usually one or none; two where somebody mistook a place. */
  readonly pieces: readonly PieceView[]
}

export interface TrayMap {
  readonly columns: readonly string[]
  readonly rows: readonly { readonly number: number; readonly cells: readonly Cell[] }[]
  /** Places of the map at which nothing stands. */
  readonly free: number
  /** In the tray, at no place or at one that its map does not have. */
  readonly elsewhere: readonly PieceView[]
}

/**
 * The pieces of one tray on its map. Where nobody has said how large it is, the map is as large as
 * the places that are in use.
 */
export function trayMap(pieces: readonly PieceView[], size: Spot | null): TrayMap {
  const standing = pieces.map((piece) => ({ piece, spot: readPlace(piece.state.place ?? '') }))
  const { column, row } = size ?? inUse(standing.flatMap(({ spot }) => spot ?? []))
  const at = new Map<string, PieceView[]>()
  const elsewhere: PieceView[] = []
  for (const { piece, spot } of standing) {
    if (!spot || !within(spot, { column, row })) elsewhere.push(piece)
    else at.set(writePlace(spot), [...(at.get(writePlace(spot)) ?? []), piece])
  }
  const columns = numbers(column).map(columnLetters)
  const rows = numbers(row).map((number) => ({
    number,
    cells: columns.map((letters) => ({ place: `${letters}${number}`, pieces: at.get(`${letters}${number}`) ?? [] })),
  }))
  return { columns, rows, free: column * row - at.size, elsewhere }
}

function inUse(spots: readonly Spot[]): Spot {
  return { column: Math.max(0, ...spots.map((one) => one.column)), row: Math.max(0, ...spots.map((one) => one.row)) }
}

function numbers(count: number): number[] {
  return Array.from({ length: count }, (_, index) => index + 1)
}
