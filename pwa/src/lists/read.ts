/** What was typed into an entry's form, as a record keeps it. Pure. */
import type { FieldValue } from '../records/fields.ts'
import { fieldsOf, type EditedList, type EntryField } from './fields.ts'

export type Given = string | boolean | readonly string[]
export type Typed = Readonly<Record<string, Given>>
export type Fields = Record<string, FieldValue>

/** What is wrong with which field; of the name, the field is null. */
export interface Wrong {
  readonly field: EntryField | null
  readonly why: 'nameNeeded' | 'nameLong' | 'numberBad' | 'decimalBad' | 'dateBad' | 'textLong'
}
export type ReadAll = { readonly fields: Fields; readonly wrong: null } | { readonly fields: null; readonly wrong: Wrong }

/** Letters in a name or a line of text; a record's own names have no more either. */
export const MOST = 120

/** Every field as a record keeps it, or the first that is wrong. An emptied one becomes null. */
export function readFields(list: EditedList, typed: Typed): ReadAll {
  const name = plain(typed['name'])
  if (name === '') return { fields: null, wrong: { field: null, why: 'nameNeeded' } }
  if (name.length > MOST) return { fields: null, wrong: { field: null, why: 'nameLong' } }
  const fields: Fields = { name }
  for (const field of fieldsOf(list)) {
    const value = readField(field, typed[field.name])
    if (value === undefined) return { fields: null, wrong: { field, why: WHY[field.kind] ?? 'textLong' } }
    fields[field.name] = value
  }
  return { fields, wrong: null }
}

const WHY: { readonly [kind in EntryField['kind']]?: Wrong['why'] } = {
  number: 'numberBad', decimal: 'decimalBad', date: 'dateBad',
}

/** One field as a record keeps it; undefined where what was typed is wrong. */
export function readField(field: EntryField, given: Given | undefined): FieldValue | undefined {
  if (field.kind === 'switch') return given === true
  if (field.kind === 'signs') return Array.isArray(given) ? [...given] : []
  const text = plain(given)
  if (text === '') return null
  switch (field.kind) {
    case 'number':
      return wholeOf(text, field.low, field.high)
    case 'decimal':
      return decimalOf(text, field.high)
    case 'date':
      return isDay(text) ? text : undefined
    case 'choice':
      return field.steps ? Number(text) : text
    default:
      return text.length > MOST ? undefined : text
  }
}

function plain(given: Given | undefined): string {
  return typeof given === 'string' ? given.trim() : ''
}

function wholeOf(text: string, low: number, high: number): number | undefined {
  const value = /^[0-9]{1,6}$/.test(text) ? Number(text) : NaN
  return value >= low && value <= high ? value : undefined
}

/** With a point; a comma is read as one. */
function decimalOf(text: string, high: number): string | undefined {
  const digits = text.replace(',', '.')
  return /^[0-9]{1,6}(\.[0-9]{1,3})?$/.test(digits) && Number(digits) <= high ? digits : undefined
}

function isDay(text: string): boolean {
  const at = /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(text) ? Date.parse(`${text}T00:00:00Z`) : NaN
  return !Number.isNaN(at) && new Date(at).toISOString().startsWith(text)
}

/** What stands in the form of an entry with these fields, or of a new one. */
export function typedOf(list: EditedList, known: Readonly<Record<string, FieldValue>> | null): Record<string, Given> {
  const name = known?.['name']
  const typed: Record<string, Given> = { name: typeof name === 'string' ? name : '' }
  for (const field of fieldsOf(list)) typed[field.name] = givenOf(field, known ? known[field.name] : usualOf(field))
  return typed
}

function usualOf(field: EntryField): FieldValue | undefined {
  return field.kind === 'number' ? field.usual : undefined
}

function givenOf(field: EntryField, value: FieldValue | undefined): Given {
  if (field.kind === 'switch') return value === true
  if (field.kind === 'signs') return Array.isArray(value) ? value : []
  if (value !== undefined && value !== null) return String(value)
  return field.kind === 'choice' && !field.open ? (field.values[0] ?? '') : ''
}

/**
 * The fields that were changed in the form, so that two people who change one entry at once take
 * nothing from each other but what both have changed. Of a new entry, all that say something.
 */
export function changedFields(fields: Fields, list: EditedList, before: Typed | null): Fields {
  const saying = (value: FieldValue) => value !== null && !(Array.isArray(value) && value.length === 0)
  const same = (name: string) => {
    const field = fieldsOf(list).find((one) => one.name === name)
    const was = field ? readField(field, before?.[name]) : plain(before?.[name])
    return JSON.stringify(was) === JSON.stringify(fields[name])
  }
  const names = Object.keys(fields).filter((name) => (before ? !same(name) : saying(fields[name] ?? null)))
  return Object.fromEntries(names.map((name) => [name, fields[name] ?? null]))
}
