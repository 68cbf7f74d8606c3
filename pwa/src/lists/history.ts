/** What was changed of a list entry, by whom and when, out of its own records. Pure. */
import { inOrder, isKnown, type Entry, type RecordOf } from '../records/kinds.ts'
import type { FieldValue, Key } from '../records/fields.ts'

/** A record about the entry, and what became of it on its way. */
export interface Told extends Entry {
  /** `held`: the server keeps it for a lead's word, and the list is as it was. */
  readonly sent: 'sent' | 'waiting' | 'refused' | 'held'
  /** The retraction that stands. */
  readonly back: { readonly staff: Key; readonly at: number; readonly why: string } | null
}

export type Change =
  | { readonly what: 'field'; readonly name: string; readonly from: FieldValue | undefined; readonly to: FieldValue }
  | { readonly what: 'retired' | 'restored' }
  | { readonly what: 'moved'; readonly tank: Key | null }

export interface Line extends Pick<Told, 'at' | 'sent' | 'back'> {
  readonly record: string
  readonly staff: Key
  /** The one that brought the entry into being: it cannot be taken back, only retired. */
  readonly first: boolean
  readonly changes: readonly Change[]
}

/**
 * Newest first. Each change is told against what stood before it, which is what the fold makes of
 * the earlier records that stand: of two that were made apart, the later one's field is the newer.
 */
export function historyOf(records: readonly Told[]): Line[] {
  const fields: Record<string, FieldValue> = {}
  let retired = false
  let begun = false
  const lines: Line[] = []
  for (const one of [...records].sort(inOrder)) {
    const { record, at, sent, back } = one
    if (!isKnown(record) || (record.kind !== 'define' && record.kind !== 'move')) continue
    const stands = back === null && sent !== 'refused' && sent !== 'held'
    const changes = record.kind === 'define' ? changesOf(record, fields, retired) : movedTo(record)
    lines.push({ record: record.id, at, staff: record.staff, sent, back, first: !begun && stands && record.kind === 'define', changes })
    if (!stands || record.kind !== 'define') continue
    begun = true
    Object.assign(fields, record.body.fields)
    retired = record.body.retired ?? retired
  }
  return lines.reverse()
}

function changesOf({ body }: RecordOf<'define'>, before: Readonly<Record<string, FieldValue>>, retired: boolean): Change[] {
  const changes: Change[] = []
  for (const [name, to] of Object.entries(body.fields)) {
    const from = before[name]
    if (!isSame(from ?? null, to)) changes.push({ what: 'field', name, from, to })
  }
  if (body.retired != null && body.retired !== retired) changes.push({ what: body.retired ? 'retired' : 'restored' })
  return changes
}

/** A switch that was never set is off, and a list of nothing is nothing. */
function isSame(from: FieldValue, to: FieldValue): boolean {
  const plain = (value: FieldValue) => (value === false || (Array.isArray(value) && value.length === 0) ? null : value)
  return JSON.stringify(plain(from)) === JSON.stringify(plain(to))
}

function movedTo({ body }: RecordOf<'move'>): Change[] {
  return [{ what: 'moved', tank: body.tank ?? null }]
}

/** What the entry would be called without one of its changes; null where nothing names it. */
export function nameWithout(records: readonly Told[], record: string): string | null {
  let name: FieldValue = null
  for (const one of [...records].sort(inOrder)) {
    const stands = one.back === null && one.sent !== 'refused' && one.sent !== 'held' && one.record.id !== record
    if (stands && isKnown(one.record) && one.record.kind === 'define') name = one.record.body.fields['name'] ?? name
  }
  return typeof name === 'string' && name !== '' ? name : null
}
