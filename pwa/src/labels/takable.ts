/** Whether a label may go on something, as far as this phone knows; one place for every screen that asks. */
import { nameOf } from '../stock/lists.ts'
import { pieceName } from '../stock/view.ts'
import { phone } from '../sync/phone.svelte.ts'
import { isVoid } from './voids.ts'

/** What the label is on already, by name, or that it is void; null where it may be taken. */
export type Held = { readonly is: 'on'; readonly name: string } | { readonly is: 'void' }

export async function heldBy(code: string): Promise<Held | null> {
  const piece = await phone.byCode(code)
  const item = phone.itemByCode(code)
  const name = piece ? pieceName(piece) : item && nameOf(item)
  if (name !== undefined) return { is: 'on', name }
  return isVoid(code) ? { is: 'void' } : null
}
