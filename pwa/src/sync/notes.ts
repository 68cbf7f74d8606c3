/**
 * What the server said of records that it took: that a clock is off, that another record disagrees,
 * that it holds one until a lead decides or until what it names arrives. The record is delivered all
 * the same; the sentence is kept until it is settled or a person has read it.
 */
import type { Batch } from './batches.ts'
import { getMeta, setMeta } from './meta.ts'
import type { Write } from './schema.ts'
import type { PushReply } from './settle.ts'
import type { Note } from './views.ts'

/** More than a person will read; the newest are kept. */
const MOST = 200

export async function noteAnswers(tx: Write, batch: Batch, { answers, now }: PushReply): Promise<void> {
  const news: Note[] = []
  for (const { index, answer, notes } of answers) {
    const record = batch.sending[index]?.row.record
    if (!record || answer === 'refused' || (answer !== 'later' && !notes?.length)) continue
    news.push({ record: record.id, staff: record.staff, at: Date.parse(now), held: answer === 'later', said: notes ?? [] })
  }
  if (news.length === 0) return
  const fresh = new Set(news.map((note) => note.record))
  const before = ((await getMeta(tx, 'notes')) ?? []).filter((note) => !fresh.has(note.record))
  await setMeta(tx, 'notes', [...before, ...news].slice(-MOST))
}

/** Records that are in the log now are held no longer. */
export async function noteArrived(tx: Write, records: readonly { readonly id: string }[]): Promise<void> {
  const notes = await getMeta(tx, 'notes')
  if (!notes?.some((note) => note.held)) return
  const arrived = new Set(records.map((record) => record.id))
  const left = notes.filter((note) => !note.held || !arrived.has(note.record))
  if (left.length < notes.length) await setMeta(tx, 'notes', left.length > 0 ? left : undefined)
}

/** A lead would not have these: said until a person has read it. */
export async function noteAside(tx: Write, ids: readonly string[]): Promise<void> {
  const rows = await Promise.all(ids.map((id) => tx.objectStore('records').get(id)))
  const news: Note[] = rows.flatMap((row) =>
    row ? [{ record: row.id, staff: row.record.staff, at: Date.now(), held: false, said: [], aside: true }] : [],
  )
  const fresh = new Set(ids)
  const before = ((await getMeta(tx, 'notes')) ?? []).filter((note) => !fresh.has(note.record))
  await setMeta(tx, 'notes', [...before, ...news].slice(-MOST))
}

export interface Saying {
  readonly text: string
  readonly records: readonly string[]
}

/** Each sentence once, with the records that it was said of, the newest sentence first. */
export function sayings(notes: readonly Note[]): Saying[] {
  const found = new Map<string, string[]>()
  for (const { record, said } of notes) {
    for (const text of said) {
      const records = found.get(text) ?? []
      // Set anew, so that the order is that of the last time it was said.
      found.delete(text)
      found.set(text, [...records, record])
    }
  }
  return [...found].map(([text, records]) => ({ text, records })).reverse()
}
