/** Notes on colour: what a person saw, on the day it was seen. Pure. */
import { isKnown, type Entry } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import type { PieceRecord } from '../sync/views.ts'

export interface ColourNote {
  readonly record: string
  readonly piece: string
  readonly at: number
  readonly staff: string
  readonly text: string
}

/** A record as a note on colour; nothing where it is none. */
export function onColour({ at, record: sent }: Entry): ColourNote[] {
  const record = lifted(sent)
  if (!isKnown(record) || record.kind !== 'note' || record.body.about !== 'colour') return []
  return [{ record: record.id, piece: record.subject.id, at, staff: record.staff, text: record.body.text }]
}

/** Out of a piece's own records, oldest first; what was taken back or refused is left out. */
export function colourAmong(records: readonly PieceRecord[]): ColourNote[] {
  return records.filter(({ retracted, sent }) => !retracted && sent !== 'refused').flatMap(onColour)
}
