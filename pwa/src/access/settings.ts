/** What may stand in the farm's settings and lists. Pure. */
import type { FieldValue, ListName } from '../records/fields.ts'

export const SETTINGS = 'settings'

// A label has room for an address of 28 characters at its largest usual size.
const HOST_MOST = 28
const HOST = /^(?=.{1,28}$)[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*(:[0-9]{2,5})?$/

/** The host as it is printed, lower case; null where it is none. */
export function readHost(text: string): string | null {
  const plain = text.trim().toLowerCase()
  return plain.length <= HOST_MOST && HOST.test(plain) ? plain : null
}

/**
 * A key for a new entry, 'tray.north-3'; a number is put behind it where it is taken. Names in other
 * scripts leave nothing over and get a number alone.
 */
export function keyFor(list: ListName, name: string, taken: (key: string) => boolean): string {
  const slug = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40)
    .replace(/-+$/, '')
  const plain = `${list}.${slug || '1'}`
  let key = plain
  for (let next = 2; taken(key); next += 1) key = slug ? `${plain}-${next}` : `${list}.${next}`
  return key
}

export type EditedList = 'species' | 'base' | 'method' | 'blade' | 'tray' | 'tank' | 'cause'

export interface NumberField {
  readonly kind: 'number'
  readonly name: string
  readonly low: number
  readonly high: number
  readonly usual: number | null
}
export interface ChoiceField {
  readonly kind: 'choice'
  readonly name: string
  readonly values: readonly string[]
}
export interface PlainField {
  readonly kind: 'text' | 'switch'
  readonly name: string
}
export type EntryField = NumberField | ChoiceField | PlainField

const whole = (name: string, low: number, high: number, usual: number | null): NumberField => ({
  kind: 'number', name, low, high, usual,
})

/** What is asked of an entry besides its name. */
export const FIELDS: Record<EditedList, readonly EntryField[]> = {
  species: [
    { kind: 'text', name: 'common' },
    { kind: 'choice', name: 'form', values: ['single', 'massive', 'branching'] },
    whole('check_days', 1, 365, 7),
    // Six to twelve months from one cut to the next: common practice, no source.
    whole('rest_days', 1, 1500, 180),
    { kind: 'switch', name: 'toxic' },
  ],
  base: [
    { kind: 'choice', name: 'shape', values: ['hexagon', 'disc', 'block'] },
    whole('across_mm', 5, 500, null),
    whole('height_mm', 1, 500, null),
    whole('label_width_mm', 5, 200, null),
  ],
  method: [],
  blade: [],
  tray: [
    whole('columns', 1, 60, null),
    whole('rows', 1, 60, null),
    whole('width_mm', 20, 20_000, null),
    whole('depth_mm', 20, 20_000, null),
    whole('gap_mm', 0, 200, null),
  ],
  tank: [whole('litres', 1, 999_999, null)],
  cause: [],
}
export const LISTS = Object.keys(FIELDS) as EditedList[]

export type Typed = Readonly<Record<string, string | boolean>>

export interface Wrong {
  readonly field: NumberField
}

/** The fields as a record keeps them, or the one that is wrong. An emptied field becomes null. */
export function readFields(list: EditedList, typed: Typed): Record<string, FieldValue> | Wrong {
  const fields: Record<string, FieldValue> = { name: String(typed['name'] ?? '').trim() }
  for (const field of FIELDS[list]) {
    const given = typed[field.name]
    if (field.kind === 'switch') fields[field.name] = given === true
    else if (field.kind !== 'number') fields[field.name] = String(given ?? '').trim() || null
    else {
      const text = String(given ?? '').trim()
      const value = /^[0-9]{1,6}$/.test(text) ? Number(text) : NaN
      if (text !== '' && !(value >= field.low && value <= field.high)) return { field }
      fields[field.name] = text === '' ? null : value
    }
  }
  return fields
}

export function isWrong(read: Record<string, FieldValue> | Wrong): read is Wrong {
  return typeof read['field'] === 'object' && read['field'] !== null && !Array.isArray(read['field'])
}
