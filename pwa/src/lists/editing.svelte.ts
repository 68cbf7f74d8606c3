import type { AnyDraft } from '../sync/views.ts'
import { isNamed, type Item } from '../stock/lists.ts'
import { mapOf, writePlace } from '../stock/places.ts'
import { draft, phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { beyond, usageOf } from './asking.ts'
import type { EditedList } from './fields.ts'
import { wordOf } from './history-words.ts'
import { keyFor } from './keys.ts'
import { byHand } from './methods.ts'
import { changedFields, MOST, readFields, typedOf, type Fields, type Given, type Wrong } from './read.ts'
import { beforeRetiring, beforeShrinking } from './usage.ts'

/** What a lead is changing of one entry, or the beginnings of a new one. */
export class Editing {
  readonly list: EditedList
  item: Item | null
  #before: Record<string, Given>
  typed = $state<Record<string, Given>>({})
  tank = $state('')
  /** Why nothing was saved. */
  problem = $state<string | null>(null)
  /** What has to be said before, and for which button; tapped once more it is done. */
  asked = $state.raw<{ readonly text: string; readonly retire: boolean } | null>(null)

  constructor(list: EditedList, item: Item | null) {
    this.list = list
    this.item = item
    this.#before = this.#stands(item)
    this.typed = { ...this.#before }
    this.tank = item?.tank ?? ''
  }

  #stands(item: Item | null): Record<string, Given> {
    const typed = typedOf(this.list, item?.fields ?? null)
    return this.list === 'method' && item ? { ...typed, by_hand: byHand(item) } : typed
  }

  /** The entry was changed meanwhile, here or elsewhere: what was not touched in the form follows it. */
  follow(item: Item): void {
    const now = this.#stands(item)
    for (const [name, value] of Object.entries(now)) {
      if (JSON.stringify(this.typed[name]) === JSON.stringify(this.#before[name])) this.typed[name] = value
    }
    if (this.tank === (this.item?.tank ?? '')) this.tank = item.tank ?? ''
    this.#before = now
    this.item = item
  }

  set(name: string, value: Given): void {
    this.typed[name] = value
    this.asked = null
  }

  get name(): string {
    return String(this.typed['name']).trim()
  }

  /** What to record; null where something is wrong or has to be asked first. Empty: nothing changed. */
  async drafts(retired?: boolean): Promise<readonly AnyDraft[] | null> {
    const { fields, wrong } = readFields(this.list, this.typed)
    this.problem = wrong ? this.#sentence(wrong) : this.#taken()
    if (fields === null || this.problem !== null) return null
    const question = await this.#question(fields, retired === true)
    if (question !== null && this.asked?.text !== question) {
      this.asked = { text: question, retire: retired === true }
      return null
    }
    return this.#drafts(fields, retired)
  }

  #drafts(fields: Fields, retired?: boolean): AnyDraft[] {
    const { list, item } = this
    const id = item?.id ?? keyFor(list, this.name, (key) => phone.item(key) !== undefined)
    const changed = changedFields(fields, list, item ? this.#before : null)
    const drafts: AnyDraft[] = []
    if (Object.keys(changed).length > 0 || retired !== undefined) {
      drafts.push(draft('define', { kind: 'item', id }, { list, fields: changed, ...(retired !== undefined && { retired }) }))
    }
    const moved = list === 'tray' && this.tank !== '' && this.tank !== (item?.tank ?? '')
    if (moved) drafts.push(draft('move', { kind: 'tray', id }, { tank: this.tank }))
    return drafts
  }

  #sentence({ field, why }: Wrong): string {
    if (why === 'nameNeeded') return t('setup.lists.nameNeeded')
    if (why === 'nameLong' || field === null) return t('setup.lists.nameLong', { most: MOST })
    const word = wordOf(field.name)
    if (field.kind === 'number') return t('setup.lists.numberBad', { field: word, low: field.low, high: field.high })
    if (field.kind === 'decimal') return t('setup.lists.decimalBad', { field: word, high: field.high })
    return why === 'dateBad' ? t('setup.lists.dateBad', { field: word }) : t('setup.lists.textLong', { field: word, most: MOST })
  }

  #taken(): string | null {
    return isNamed(phone.items(this.list, true), this.name, this.item?.id) ? t('setup.lists.nameTaken', { name: this.name }) : null
  }

  async #question(fields: Fields, retire: boolean): Promise<string | null> {
    if (this.item === null) return null
    if (retire) return beforeRetiring(this.list, await usageOf(this.item))
    const map = mapOf({ ...this.item, fields })
    if (this.list !== 'tray' || map === null) return null
    // What the map lacks already was said when it was made so.
    const [before, now] = [await beyond(this.item.id, mapOf(this.item)), await beyond(this.item.id, map)]
    return now.length > before.length ? beforeShrinking(now, writePlace(map)) : null
  }
}
