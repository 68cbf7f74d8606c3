/** What a label read in the middle of a move leads to. */
import { phone } from '../sync/phone.svelte.ts'

/** The tray that a label is on, or that the piece with the label stands in; null where there is none. */
export async function trayByCode(code: string): Promise<string | null> {
  const item = phone.itemByCode(code)
  const piece = await phone.byCode(code)
  // Where a label is on a piece, it is the piece's.
  if (piece) return piece.state.tray
  return item?.list === 'tray' ? item.id : null
}

/** The tray or tank a label is on. */
export function itemOf(code: string): { readonly id: string; readonly list: 'tray' | 'tank' } | null {
  const item = phone.itemByCode(code)
  return item && (item.list === 'tray' || item.list === 'tank') ? { id: item.id, list: item.list } : null
}
