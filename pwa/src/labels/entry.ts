/** Own sheets and printers: entries of the farm's lists, written down from the desk of labels. */
import type { Saver } from '../check/saver.svelte.ts'
import { keyFor } from '../lists/keys.ts'
import type { BodyOf } from '../records/kinds.ts'
import type { Item } from '../stock/lists.ts'
import { phone } from '../sync/phone.svelte.ts'

interface Entry {
  readonly list: 'sheet' | 'printer'
  /** Null for a new one. */
  readonly item: Item | null
  readonly name: string
  readonly fields: BodyOf<'define'>['fields']
  readonly retired: boolean | undefined
}

/** Whether it was saved; else the saver says why not. */
export async function keepEntry(saver: Saver, { list, item, name, fields, retired }: Entry, text: string): Promise<boolean> {
  const key = item?.id ?? keyFor(list, name, (one) => phone.item(one) !== undefined)
  return (await saver.save(() => phone.define(list, key, fields, retired), { text })) !== null
}
