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
export async function askMe(fetch: Fetch): Promise<Answer<Me>> {
  const answer = await ask<Me>(fetch, '/api/me', {}, null)
  const { staff, device } = answer.ok ? answer.body : {}
  // Whatever says an epoch and no name is some other program's answer.
  if (!answer.ok || (typeof staff?.id === 'string' && typeof device?.id === 'string')) return answer
  return { ok: false, paused: 'not-ours', problem: null, epoch: null }
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
  const mine = await tx.objectStore('records').index('mine').getAll()
  const waiting = new Map((await tx.objectStore('outbox').getAll()).map((row) => [row.record, row]))
  for (const store of ['records', 'pieces', 'cuts', 'items', 'outbox'] as const) {
    await tx.objectStore(store).clear()
  }
  await setMeta(tx, 'cursor', undefined)
  await setMeta(tx, 'orphans', undefined)
  const touched = new Touched()
  // Ids made on this phone sort in the order in which its records were made.
  for (const { record } of mine.sort((a, b) => (a.id < b.id ? -1 : 1))) {
    const at = Date.parse(record.observed.at)
    await keep(tx, [{ record, at, seq: null, mine: true }], touched)
    // Refused ones too: another database may well take what its predecessor would not.
    await enqueue(tx, record, waiting.get(record.id)?.saved_at ?? at)
  }
  await refold(tx, touched)
}
