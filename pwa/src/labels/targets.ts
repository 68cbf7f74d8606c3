/** What labels are printed for, and the words beside their symbols. Pure. */
import { nameOf, type Item } from '../stock/lists.ts'
import { itemName, pieceName, whereText, type Find } from '../stock/view.ts'
import type { PieceView } from '../sync/views.ts'
import type { Target } from './binding.ts'

export type SaidOf = 'place' | 'name'

/** A piece's label says where it stands, or what it is. */
export function forPiece(piece: PieceView, said: SaidOf, find: Find): Target {
  const words = said === 'place' ? placeOf(piece, find) : pieceName(piece)
  return { subject: { kind: 'piece', id: piece.id }, said: words.slice(0, 80) }
}

/** 'A1, B7', or the tray or tank alone: short, since it stands under a code. */
function placeOf({ state, tank }: PieceView, find: Find): string {
  const stands = state.tray ?? tank
  return [stands === null ? null : itemName(stands, find), state.place].filter(Boolean).join(', ')
}

export function forItem(item: Item): Target {
  return { subject: { kind: item.list === 'tank' ? 'tank' : 'tray', id: item.id }, said: nameOf(item).slice(0, 80) }
}

/** In the order in which the labels are put on: by tray, place (B2 before B10), then age. */
export function inTrayOrder(pieces: readonly PieceView[], find: Find): PieceView[] {
  const compare = new Intl.Collator(undefined, { numeric: true }).compare
  const where = (piece: PieceView) => whereText(piece, find) ?? '\uffff'
  return [...pieces].sort((a, b) => compare(where(a), where(b)))
}
