/**
 * Fetching what others recorded. Pages come in the order of the server's log; each is written down
 * in parts of 500 with the cursor in the last part, so that a page cut short is simply asked for
 * again. Everything in it is idempotent.
 */
import type { Entry, SequencedEntry } from '../records/kinds.ts'
import { isKnown } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import type { PieceState } from '../stock/state.ts'
import { ask, type Answer, type Fetch, type Halt } from './answers.ts'
import type { Database } from './database.ts'
import { keep, Touched } from './keep.ts'
import { getMeta, setMeta } from './meta.ts'
import { noteDecided } from './fates.ts'
import { noteArrived } from './notes.ts'
import { refold } from './refold.ts'
import type { Write } from './schema.ts'
import { takeState } from './states.ts'

export const PAGE = 2000
const PART = 500

export interface Page {
  readonly epoch: string
  readonly cursor: string
  readonly more: boolean
  readonly entries: readonly SequencedEntry[]
  readonly pieces: readonly PieceState[]
}

/** Fetch page after page until the phone knows what the server knows; null, or why it stopped. */
export async function pull(db: Database, fetch: Fetch, epoch: string): Promise<Halt | null> {
  for (;;) {
    const cursor = await db.read((tx) => getMeta(tx, 'cursor'))
    const after = cursor === undefined ? '' : `&after=${encodeURIComponent(cursor)}`
    const path = `/api/sync/pull?limit=${PAGE}${after}`
    const answer: Answer<Page> = await ask(fetch, path, {}, epoch)
    if (!answer.ok) {
      if (answer.problem?.code !== 'wrong-cursor' || cursor === undefined) return answer
      await db.write((tx) => setMeta(tx, 'cursor', undefined))
      continue
    }
    const page = answer.body
    // A page that says there is more but leads nowhere would be asked for for ever.
    if (!isPage(page) || (page.more && page.cursor === cursor)) return NONSENSE
    await take(db, page, cursor)
    if (!page.more) return null
  }
}

const NONSENSE: Halt = { ok: false, paused: 'server', problem: null, epoch: null }

function isPage(page: Page): boolean {
  const { cursor, more, entries, pieces } = page
  return (
    typeof cursor === 'string' &&
    typeof more === 'boolean' &&
    Array.isArray(entries) &&
    Array.isArray(pieces) &&
    entries.every(isEntry) &&
    pieces.every((state) => typeof state?.id === 'string' && typeof state.last_at === 'number')
  )
}

function isEntry(entry: SequencedEntry): boolean {
  const record = entry?.record
  return (
    Number.isSafeInteger(entry?.seq) &&
    Number.isSafeInteger(entry.at) &&
    typeof record?.id === 'string' &&
    typeof record.kind === 'string' &&
    typeof record.subject?.id === 'string'
  )
}

/** Write a page down. Stops without a word where another tab has gone ahead in the meantime. */
async function take(db: Database, page: Page, before: string | undefined): Promise<void> {
  const { cursor, more, entries, pieces } = page
  // Most rounds bring nothing: written down all the same, every screen of every tab would ask anew.
  if (entries.length + pieces.length === 0 && cursor === before && (await db.read((tx) => getMeta(tx, 'more'))) === more) return
  const parts = cut(page.entries).map((entries) => (tx: Write) => takeEntries(tx, entries))
  parts.push(...cut(page.pieces).map((states) => (tx: Write) => takeStates(tx, states)))
  if (parts.length === 0) parts.push(async () => undefined)
  for (const [index, part] of parts.entries()) {
    const went = await db.write(async (tx) => {
      const [epoch, cursor] = [await getMeta(tx, 'epoch'), await getMeta(tx, 'cursor')]
      if (epoch !== page.epoch || cursor !== before) return false
      await part(tx)
      if (index === parts.length - 1) {
        await setMeta(tx, 'cursor', page.cursor)
        await setMeta(tx, 'more', page.more)
      }
      return true
    })
    if (!went) return
  }
}

async function takeEntries(tx: Write, entries: readonly SequencedEntry[]): Promise<void> {
  const touched = new Touched()
  // What this phone made and had sent before its storage was emptied is its own again.
  const device = await getMeta(tx, 'device')
  await makeWay(tx, entries)
  await keep(tx, entries.map((entry) => ({ ...entry, mine: entry.record.device === device })), touched)
  await dropDelivered(tx, entries)
  await noteArrived(tx, entries.map((entry) => entry.record))
  await noteDecided(tx, entries.map((entry) => entry.record.id))
  for (const entry of entries) await comesWhole(tx, entry)
  await refold(tx, touched)
}

/** A record that is in the server's log has arrived, even if its answer never came back. */
async function dropDelivered(tx: Write, entries: readonly Entry[]): Promise<void> {
  const outbox = tx.objectStore('outbox')
  if ((await outbox.count()) === 0) return
  for (const { record } of entries) {
    const row = await outbox.index('record').get(record.id)
    if (row?.id !== undefined && !row.copy) await outbox.delete(row.id)
  }
}

/** What the server refused for its id was another record: it is shown still, and the farm's one stands. */
async function makeWay(tx: Write, entries: readonly Entry[]): Promise<void> {
  const [outbox, records] = [tx.objectStore('outbox'), tx.objectStore('records')]
  if ((await outbox.count()) === 0) return
  for (const { record } of entries) {
    const row = await outbox.index('record').get(record.id)
    if (row?.problem?.code !== 'id-reused' || row.copy) continue
    const ours = await records.get(record.id)
    if (!ours) continue
    await outbox.put({ ...row, copy: ours.record })
    await records.delete(record.id)
  }
}

/** With the record that began a piece come all of its records: a state without them is not needed. */
async function comesWhole(tx: Write, entry: Entry): Promise<void> {
  const record = lifted(entry.record)
  if (!isKnown(record) || (record.kind !== 'glue' && record.kind !== 'arrival')) return
  const row = await tx.objectStore('pieces').get(record.subject.id)
  if (row?.base) await tx.objectStore('pieces').put({ ...row, base: null })
}

async function takeStates(tx: Write, states: readonly PieceState[]): Promise<void> {
  for (const state of states) await takeState(tx, state)
}

function cut<T>(list: readonly T[]): T[][] {
  const parts: T[][] = []
  for (let from = 0; from < list.length; from += PART) parts.push(list.slice(from, from + PART))
  return parts
}
