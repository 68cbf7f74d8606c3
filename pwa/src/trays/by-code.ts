/** Labels of trays and tanks: what one leads to, and which are on one. */
import { display } from '../label/code.ts'
import type { Item } from '../stock/lists.ts'
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

/** The labels that lead to it, as they are printed; one that something else had first does not. */
export function labelsOn({ id, codes }: Item): string {
  const held = (codes ?? []).filter(({ code }) => phone.itemByCode(code)?.id === id)
  return held.map(({ code }) => display(code)).join(', ')
}
