/**
 * What became of records that the server took and holds. Admitted they come in a page like any
 * other; set aside by a lead they stop counting here too, or this phone would know another farm
 * than all others.
 */
import { ask, posting, type Answer, type Fetch, type Halt } from './answers.ts'
import { BATCH_RECORDS, type Batch } from './batches.ts'
import type { Database } from './database.ts'
import { setRefused, Touched } from './keep.ts'
import { getMeta, setMeta } from './meta.ts'
import { noteAside } from './notes.ts'
import { refold } from './refold.ts'
import type { Write } from './schema.ts'
import type { PushReply } from './settle.ts'

interface Fates {
  readonly epoch: string
  readonly set_aside: readonly string[]
}

/** Ask about all that is held; null, or why it could not be asked. */
export async function learnFates(db: Database, fetch: Fetch, epoch: string): Promise<Halt | null> {
  const held = (await db.read((tx) => getMeta(tx, 'held'))) ?? []
  for (let from = 0; from < held.length; from += BATCH_RECORDS) {
    const init = posting(JSON.stringify({ ids: held.slice(from, from + BATCH_RECORDS) }))
    const answer: Answer<Fates> = await ask(fetch, '/api/sync/fates', init, epoch)
    if (!answer.ok) return answer
    const aside = answer.body.set_aside
    if (Array.isArray(aside) && aside.length > 0) await db.write((tx) => putAside(tx, aside))
  }
  return null
}

async function putAside(tx: Write, ids: readonly string[]): Promise<void> {
  const touched = new Touched()
  for (const id of ids) await setRefused(tx, id, true, touched)
  await refold(tx, touched)
  await noteAside(tx, ids)
  await noteDecided(tx, ids)
}

/** Remember which records of a batch the server holds. */
export async function noteHeld(tx: Write, batch: Batch, { answers }: PushReply): Promise<void> {
  const news = answers.flatMap(({ answer, index }) => (answer === 'later' ? (batch.sending[index]?.row.id ?? []) : []))
  if (news.length > 0) await setMeta(tx, 'held', [...new Set([...((await getMeta(tx, 'held')) ?? []), ...news])])
}

/** These are held no longer. */
export async function noteDecided(tx: Write, ids: readonly string[]): Promise<void> {
  const held = await getMeta(tx, 'held')
  if (!held) return
  const decided = new Set(ids)
  const left = held.filter((id) => !decided.has(id))
  if (left.length < held.length) await setMeta(tx, 'held', left.length > 0 ? left : undefined)
}
