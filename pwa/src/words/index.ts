import first from './en/first.ts'
import type en from './en/index.ts'
import { number, setLocale, locale } from './format.ts'
import type { Asked, At, Catalogue, Leaves, Plural } from './types.ts'

export { age, day, dayTime, number, setLocale, setZone, span, time, zone } from './format.ts'

export type Words = typeof en
export type Key = Leaves<Words>
/** Keys whose words ask for no values, for tables of words. */
export type PlainKey = { [K in Key]: [Asked<At<Words, K>>] extends [never] ? K : never }[Key]
type Value = string | number
type Args<K extends Key> = [Asked<At<Words, K>>] extends [never]
  ? []
  : [values: Record<Asked<At<Words, K>>, Value>]

let words: Partial<Catalogue<Words>> = first
let whole = false

/** Put another language in place; call before the first screen is drawn. */
export function setWords(catalogue: Catalogue<Words>, language: string): void {
  words = catalogue
  whole = true
  setLocale(language)
}

/** Fetch the words of all screens but the first, which must not wait for them. Before they are used. */
export async function moreWords(): Promise<void> {
  if (whole) return
  const later = (await import('./en/later.ts')).default
  // Another language may have been put in place meanwhile.
  if (!whole) words = { ...words, ...later }
  whole = true
}

const FORMS = new Set(['zero', 'one', 'two', 'few', 'many', 'other'])

function isPlural(found: unknown): found is Plural {
  if (typeof found !== 'object' || found === null || !('other' in found)) return false
  return Object.keys(found).every((key) => FORMS.has(key))
}

function find(key: string): string | Plural {
  let at: unknown = words
  for (const part of key.split('.')) at = (at as Record<string, unknown> | undefined)?.[part]
  if (typeof at === 'string' || isPlural(at)) return at
  throw new RangeError(`There are no words for '${key}'.`)
}

function form(plural: Plural, count: number): string {
  return (count === 0 ? plural.zero : undefined) ?? plural[new Intl.PluralRules(locale()).select(count)] ?? plural.other
}

/**
 * The words for `key`, with `{name}` replaced by the values; numbers are written as the locale
 * writes them. Plural words choose their form by `count` (CLDR plural rules through Intl).
 * A key or a value that is missing is a type error.
 */
export function t<K extends Key>(key: K, ...args: Args<K>): string {
  const values = (args[0] ?? {}) as Record<string, Value>
  const found = find(key)
  const text = isPlural(found) ? form(found, Number(values['count'])) : found
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = values[name]
    if (value === undefined) return whole
    return typeof value === 'number' ? number(value) : value
  })
}
