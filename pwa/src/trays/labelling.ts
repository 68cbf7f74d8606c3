/** Putting a label on a tray or a tank. */
import type { Saver } from '../check/saver.svelte.ts'
import { display } from '../label/code.ts'
import { heldBy } from '../labels/takable.ts'
import { nameOf, type Item } from '../stock/lists.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'

/** Why a label cannot be taken: what it is on already, as far as this phone knows; else null. */
export async function takenBy(code: string): Promise<string | null> {
  const held = await heldBy(code)
  if (held?.is === 'on') return t('trays.bind.taken', { code: display(code), name: held.name })
  return held && t('labels.voided.known', { code: display(code) })
}

/** Whether it was saved; else the saver says why not. */
export async function putLabel(saver: Saver, code: string, item: Item): Promise<boolean> {
  const subject = { kind: item.list === 'tank' ? 'tank' : 'tray', id: item.id } as const
  const said = { text: t('trays.bind.saved', { code: display(code), name: nameOf(item) }) }
  return (await saver.save(() => phone.record('bind', subject, { code }), said)) !== null
}
