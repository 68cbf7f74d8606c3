/** Everything in one tray put into another: who keeps its place there, and who does not. Pure. */
import type { PieceView } from '../sync/views.ts'
import { readPlace, writePlace } from '../stock/places.ts'
import { freePlaces, type TrayMap } from './tray-map.ts'

export interface Placed {
  readonly piece: PieceView
  /** Null where it goes without a place. */
  readonly place: string | null
}

export interface Plan {
  readonly moves: readonly Placed[]
  /** Those of them that cannot keep the place they have. */
  readonly shifted: readonly Placed[]
  /** How many too many there are: then nothing may be moved. */
  readonly over: number
}

/**
 * Pieces keep their places where the other tray has them free; the others take its free places row
 * by row. `sized`: its columns and rows are noted; else a place that is not free there is lost.
 */
export function planOf(pieces: readonly PieceView[], target: TrayMap, sized: boolean): Plan {
  if (sized && pieces.length > target.free) return { moves: [], shifted: [], over: pieces.length - target.free }
  const free = new Set(freePlaces(target))
  const used = new Set(target.rows.flatMap((row) => row.cells.flatMap((cell) => (cell.pieces.length > 0 ? [cell.place] : []))))
  const kept = new Map<PieceView, string>()
  for (const piece of pieces) {
    const place = plain(piece)
    if (place === null || used.has(place) || (sized && !free.has(place))) continue
    kept.set(piece, place)
    used.add(place)
    free.delete(place)
  }
  const rest = sized ? [...free] : []
  const moves = pieces.map((piece) => {
    const place = kept.get(piece) ?? (plain(piece) === null ? null : (rest.shift() ?? null))
    return { piece, place }
  })
  return { moves, shifted: moves.filter(({ piece }) => plain(piece) !== null && !kept.has(piece)), over: 0 }
}

function plain({ state }: PieceView): string | null {
  const spot = readPlace(state.place ?? '')
  return spot && writePlace(spot)
}
