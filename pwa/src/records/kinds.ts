/**
 * The vocabulary: every kind of record, as one union over a common envelope, with the server's
 * own field names. A record is never edited; a mistake is taken back by a `retract`.
 */
import type { Bodies, Kind } from './bodies.ts'
import type { Id, Key, Observed, Subject, SubjectKind } from './fields.ts'
import { FIRST, lifted, versionOf } from './lift.ts'

export type { Bodies, Kind } from './bodies.ts'

/** Which subjects each kind may have. */
export const SUBJECTS = {
  arrival: ['piece'],
  cut: ['cut'],
  glue: ['piece'],
  cut_end: ['cut'],
  bind: ['piece', 'tray', 'tank'],
  check: ['piece'],
  ready: ['piece'],
  loss: ['piece'],
  exit: ['piece'],
  move: ['piece', 'tray'],
  purpose: ['piece'],
  care: ['tank', 'tray', 'piece'],
  water: ['tank'],
  photo: ['piece', 'cut', 'tray', 'tank', 'item'],
  note: ['piece', 'cut', 'tray', 'tank', 'item'],
  define: ['item'],
  retract: ['record'],
} as const satisfies Record<Kind, readonly SubjectKind[]>

export type SubjectOf<K extends Kind> = Subject<(typeof SUBJECTS)[K][number]>
export type BodyOf<K extends Kind> = Bodies[K]

/** `device_seq` is gapless on its device, so that a missing record can be proved. */
export interface RecordOf<K extends Kind> {
  readonly id: Id
  readonly kind: K
  readonly v?: number
  readonly subject: SubjectOf<K>
  readonly observed: Observed
  readonly staff: Key
  readonly device: Key
  readonly device_seq: number
  readonly body: Bodies[K]
}

export type AnyRecord = { [K in Kind]: RecordOf<K> }[Kind]

/** A record of a kind or version that this app does not know: kept, passed on, never folded. */
export interface UnknownRecord extends Omit<RecordOf<'note'>, 'kind' | 'subject' | 'body'> {
  readonly kind: string
  readonly subject: Subject
  readonly body: Readonly<Record<string, unknown>>
}

export type WireRecord = AnyRecord | UnknownRecord

/** A record with its corrected time in UTC milliseconds. */
export interface Entry {
  readonly at: number
  readonly record: WireRecord
}

/** A record as it comes from the server, with its place in the server's log. */
export interface SequencedEntry extends Entry {
  readonly seq: number
}

/** Whether this app knows the record well enough to fold it: of a kind it knows, in today's version. */
export function isKnown(record: WireRecord): record is AnyRecord {
  return record.kind in SUBJECTS && (record.v ?? FIRST) === versionOf(record.kind)
}

/** Whether a record takes another back. One of a newer version is kept and passed on, and takes nothing back. */
export function takesBack(record: WireRecord): record is RecordOf<'retract'> {
  return record.kind === 'retract' && isKnown(lifted(record))
}

/** Order of everything: corrected time, then id (ids are ASCII, so code units decide). */
export function inOrder(a: Entry, b: Entry): number {
  if (a.at !== b.at) return a.at - b.at
  return a.record.id < b.record.id ? -1 : a.record.id > b.record.id ? 1 : 0
}
