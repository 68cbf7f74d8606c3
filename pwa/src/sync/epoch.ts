/** Whose phone this is, and of which database. */
import { ask, type Answer, type Fetch } from './answers.ts'
import type { Database } from './database.ts'
import { keep, Touched } from './keep.ts'
import { getMeta, setMeta } from './meta.ts'
import { enqueue } from './outbox.ts'
import { refold } from './refold.ts'
import type { Write } from './schema.ts'
import type { Me } from './views.ts'

/** Ask the server who is signed in here and on which database; does not change anything. */
export function askMe(fetch: Fetch): Promise<Answer<Me>> {
  return ask<Me>(fetch, '/api/me', {}, null)
}

/**
 * Write down who is at this phone. If the server's database is another one than before (put back
 * from a backup, or replaced), all that was fetched is let go, to be fetched anew, and everything
 * ever recorded on this phone is put in the line again: the server takes each record only once.
 */
export async function adopt(db: Database, me: Me): Promise<void> {
  await db.write(async (tx) => {
    const epoch = await getMeta(tx, 'epoch')
    if (epoch !== undefined && epoch !== me.epoch) await beginAgain(tx)
    await setMeta(tx, 'epoch', me.epoch)
    await setMeta(tx, 'me', me)
    await setMeta(tx, 'device', me.device.id)
  })
}

/** Nobody is at this phone any more. What waits stays, for when its author is back. */
export async function leave(db: Database): Promise<void> {
  await db.write((tx) => setMeta(tx, 'me', undefined))
}

async function beginAgain(tx: Write): Promise<void> {
  const records = tx.objectStore('records')
  const mine = await records.index('mine').getAll()
  for (const store of ['records', 'pieces', 'cuts', 'items'] as const) await tx.objectStore(store).clear()
  await setMeta(tx, 'cursor', undefined)
  await setMeta(tx, 'orphans', undefined)
  const touched = new Touched()
  for (const { record } of mine) {
    const at = Date.parse(record.observed.at)
    await keep(tx, [{ record, at, seq: null, mine: true }], touched)
    const row = await tx.objectStore('outbox').index('record').get(record.id)
    if (!row) await enqueue(tx, record, at)
    // Another database may well take what this one's predecessor would not.
    else if (row.state === 'refused') await tx.objectStore('outbox').put({ ...row, state: 'waiting', problem: null })
  }
  await refold(tx, touched)
}
