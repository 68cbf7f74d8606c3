/**
 * Taking records into the phone's database, whoever made them and in whatever order they come.
 * `Touched` gathers what has to be folded again; `refold` does that before the transaction ends.
 */
import { isKnown, takesBack, type WireRecord } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import { getMeta, setMeta } from './meta.ts'
import type { RecordRow, Write } from './schema.ts'

export class Touched {
  readonly pieces = new Set<string>()
  readonly cuts = new Set<string>()
  readonly items = new Set<string>()

  add(row: RecordRow): void {
    const { kind, subject } = row.record
    if (row.piece !== null) this.pieces.add(row.piece)
    if (kind === 'cut' || kind === 'cut_end') this.cuts.add(subject.id)
    const placed = kind === 'move' || kind === 'bind'
    if (kind === 'define' || (placed && subject.kind !== 'piece')) this.items.add(subject.id)
  }
}

export interface Incoming {
  readonly record: WireRecord
  readonly at: number
  readonly seq: number | null
  /** Made on this phone. */
  readonly mine: boolean
  /** The server holds it, and it is not in the log. */
  readonly held?: boolean
}

export const subjectKey = (kind: string, id: string) => `${kind}:${id}`

/** Write records down, each once; a record that is here already only learns its place and time. */
export async function keep(tx: Write, incoming: readonly Incoming[], touched: Touched): Promise<void> {
  const records = tx.objectStore('records')
  const before = (await getMeta(tx, 'orphans')) ?? []
  const orphans = new Set(before)
  for (const one of incoming) {
    const known = await records.get(one.record.id)
    const row = known ? placed(known, one) : fresh(one, orphans.delete(one.record.id))
    await records.put(row)
    touched.add(row)
    if (takesBack(one.record) && (!known || known.refused !== row.refused || known.held !== row.held)) {
      const found = await takeBack(tx, one.record.subject.id, touched)
      if (!found) orphans.add(one.record.subject.id)
    }
  }
  const after = [...orphans]
  if (JSON.stringify(after) !== JSON.stringify(before)) await setMeta(tx, 'orphans', after)
}

function placed(row: RecordRow, { at, seq, held }: Incoming): RecordRow {
  // What the server has in its log it has not refused, whatever it said earlier.
  return seq === null ? { ...row, at, held: held ?? row.held } : { ...row, at, seq, refused: false, held: false }
}

function fresh({ record, at, seq, mine }: Incoming, gone: boolean): RecordRow {
  return {
    id: record.id,
    at,
    seq,
    subject: subjectKey(record.subject.kind, record.subject.id),
    piece: pieceOf(record),
    mine: mine ? record.device_seq : null,
    gone,
    refused: false,
    record,
  }
}

/** Whose fold a record enters. Of a `cut_end` only the cut's own records can tell. */
export function pieceOf(sent: WireRecord): string | null {
  const record = lifted(sent)
  if (!isKnown(record)) return record.subject.kind === 'piece' ? record.subject.id : null
  if (record.kind === 'cut') return record.body.mother
  return record.subject.kind === 'piece' ? record.subject.id : null
}

/**
 * Find out again whether a record is taken back: it is while one retraction of it stands that was
 * not refused. False where the record itself is not here.
 */
export async function takeBack(tx: Write, target: string, touched: Touched): Promise<boolean> {
  const records = tx.objectStore('records')
  const row = await records.get(target)
  if (!row) return false
  const about = await records.index('subject').getAll(subjectKey('record', target))
  const list = row.record.kind === 'define'
  const gone = about.some((other) => takesBack(other.record) && !other.refused && !(list && other.held))
  if (gone !== row.gone) await records.put({ ...row, gone })
  touched.add(row)
  return true
}

/** Mark whether the server refuses a record; a refused one is kept and shown, and counts for nothing. */
export async function setRefused(tx: Write, id: string, refused: boolean, touched: Touched): Promise<void> {
  const row = await tx.objectStore('records').get(id)
  if (!row || row.refused === refused) return
  await tx.objectStore('records').put({ ...row, refused })
  touched.add(row)
  if (takesBack(row.record)) await takeBack(tx, row.record.subject.id, touched)
}
