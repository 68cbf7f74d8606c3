/** A tray's map: what stands at each place, and which places are free. Pure. */
import type { PieceView } from '../sync/views.ts'
import { columnLetters, readPlace, within, writePlace, type Spot } from '../stock/places.ts'

export interface Cell {
  /** Such as B7. */
  readonly place: string
  /** Usually one or none; two where somebody mistook a place. */
  readonly pieces: readonly PieceView[]
}

export interface TrayMap {
  readonly columns: readonly string[]
  readonly rows: readonly { readonly number: number; readonly cells: readonly Cell[] }[]
  /** Places at which nothing stands, less one for each piece in the tray whose place is not on the map. */
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
  return { columns, rows, free: Math.max(0, column * row - at.size - elsewhere.length), elsewhere }
}

/** Places at which nothing stands, row by row. */
export function freePlaces(map: TrayMap): string[] {
  return map.rows.flatMap((row) => row.cells.flatMap((cell) => (cell.pieces.length === 0 ? [cell.place] : [])))
}

/** The free place after this one, row by row and then from the beginning; null where the map is full. */
export function nextFree(map: TrayMap, after: string | null): string | null {
  const free = freePlaces(map)
  const order = map.rows.flatMap((row) => row.cells.map((cell) => cell.place))
  const begin = after === null ? -1 : order.indexOf(after)
  return free.find((place) => order.indexOf(place) > begin) ?? free[0] ?? null
}

/**
 * Where the next piece goes once one stands at `after`: to the next free place, or one further along
 * the row where nobody has said how large the tray is; null where it is full or that is no place.
 */
export function placeAfter(pieces: readonly PieceView[], size: Spot | null, after: string): string | null {
  if (size !== null) return nextFree(trayMap(pieces, size), after)
  const spot = readPlace(after)
  return spot && writePlace({ column: spot.column + 1, row: spot.row })
}

function inUse(spots: readonly Spot[]): Spot {
  return { column: Math.max(0, ...spots.map((one) => one.column)), row: Math.max(0, ...spots.map((one) => one.row)) }
}

function numbers(count: number): number[] {
  return Array.from({ length: count }, (_, index) => index + 1)
}

/** Pieces by the tray they stand in. */
export function byTray(pieces: readonly PieceView[]): ReadonlyMap<string, readonly PieceView[]> {
  const found = new Map<string, PieceView[]>()
  for (const piece of pieces) {
    const { tray } = piece.state
    if (tray === null) continue
    const there = found.get(tray)
    if (there) there.push(piece)
    else found.set(tray, [piece])
  }
  return found
}
