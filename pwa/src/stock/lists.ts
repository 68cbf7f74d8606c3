/** Lists are folded from `define` records, so they sync and are replayed like everything else. */
import { inOrder, isKnown, type Entry } from '../records/kinds.ts'
import { isZone } from './days.ts'
import type { Code, FieldValue, Key, ListName } from '../records/fields.ts'
import { earlier, withClaim, type Claim } from './state.ts'

/** One entry of a list. A field that was never defined is absent; one that was cleared is null. */
export interface Item {
  readonly id: Key
  /** Empty while nothing defines the entry. */
  readonly list: ListName | ''
  readonly fields: Readonly<Record<string, FieldValue>>
  readonly retired: boolean
  /** Where a tray stands. */
  readonly tank: Key | null
  /** Labels of a tray or tank; absent in what an earlier version wrote down. */
  readonly codes?: readonly Claim[]
  /** When it last changed, corrected UTC in milliseconds; -1 while nothing defines it. */
  readonly at: number
}

/**
 * Fold the records of one entry, in the order (at, id): later fields over earlier ones, `list`,
 * `retired` and a tray's tank as they were last said, every label a tray or tank was given.
 */
export function foldItem(
  id: Key,
  entries: readonly Entry[],
  retracted: ReadonlySet<string>,
): Item {
  let item: Item = { id, list: '', fields: {}, retired: false, tank: null, codes: [], at: -1 }
  const kept = entries.filter((entry) => !retracted.has(entry.record.id))
  for (const { at, record } of kept.sort(inOrder)) {
    if (!isKnown(record) || record.subject.id !== id) continue
    if (record.kind === 'define') {
      const { list, fields, retired } = record.body
      item = { ...item, list, fields: { ...item.fields, ...fields }, retired: retired ?? item.retired, at }
    } else if (record.kind === 'move' && record.subject.kind === 'tray') {
      item = { ...item, tank: record.body.tank ?? null, at }
    } else if (record.kind === 'bind' && record.subject.kind !== 'piece') {
      item = { ...item, codes: withClaim(item.codes ?? [], { code: record.body.code, at, record: record.id }), at }
    }
  }
  return item
}

/** The tray or tank a code is on: of several, the one it was given to first. */
export function itemWithCode(items: Iterable<Item>, code: Code): { readonly item: Item; readonly claim: Claim } | null {
  const found = [...items].flatMap((item) => (item.codes ?? []).filter((claim) => claim.code === code).map((claim) => ({ item, claim })))
  return found.sort((a, b) => earlier(a.claim, b.claim))[0] ?? null
}

/** What a person calls the entry; its key where it has no name. */
export function nameOf(item: Item): string {
  const name = item.fields['name']
  return typeof name === 'string' && name !== '' ? name : item.id
}

/** Whether an entry other than `but` bears this name, whatever the case of its letters. */
export function isNamed(items: readonly Item[], name: string, but?: Key): boolean {
  return items.some((one) => one.id !== but && nameOf(one).toLowerCase() === name.toLowerCase())
}

/** A base kind's shape; a hexagon where nobody has said. */
export function baseShape(base: Item | undefined): 'hexagon' | 'disc' | 'block' {
  const shape = base?.fields['shape']
  return shape === 'disc' || shape === 'block' ? shape : 'hexagon'
}

/** Entries of one list by name, without the retired ones unless asked for. */
export function ofList(items: Iterable<Item>, list: ListName, retired = false): Item[] {
  return [...items]
    .filter((item) => item.list === list && (retired || !item.retired))
    .sort((a, b) => nameOf(a).localeCompare(nameOf(b)) || (a.id < b.id ? -1 : 1))
}

export interface Settings {
  readonly name: string | null
  /** IANA zone in which days are counted; UTC until somebody has set it, as on the server. */
  readonly zone: string
  readonly label_host: string | null
  /** What a wild colony counts as. */
  readonly wild_number: number
  /** Whether pieces held back keep their mother's number. */
  readonly held_back_keeps: boolean
  readonly locale: string | null
}

/** The facility's settings out of their list entry, defaults where nothing was set. */
export function settingsOf(item: Item | undefined): Settings {
  const fields = item?.fields ?? {}
  const text = (name: string) => {
    const value = fields[name]
    return typeof value === 'string' && value !== '' ? value : null
  }
  const zone = text('zone')
  const locale = text('locale')
  const wild = fields['wild_number']
  return {
    name: text('name'),
    zone: zone !== null && isZone(zone) ? zone : 'UTC',
    label_host: text('label_host'),
    wild_number: typeof wild === 'number' && Number.isInteger(wild) ? wild : 0,
    held_back_keeps: fields['held_back_keeps'] === true,
    locale: locale !== null && isLanguage(locale) ? locale : null,
  }
}

function isLanguage(tag: string): boolean {
  try {
    return Intl.getCanonicalLocales(tag).length === 1
  } catch (error) {
    if (error instanceof RangeError) return false
    throw error
  }
}
