/** Whose phone this is, and of which database. */
import { ask, type Answer, type Fetch } from './answers.ts'
import type { Database } from './database.ts'
import { keep, setRefused, Touched } from './keep.ts'
import { getMeta, setMeta } from './meta.ts'
import { noteEmptied, takeCount, type DeviceSeq } from './numbers.ts'
import { enqueue } from './outbox.ts'
import { refold } from './refold.ts'
import type { RecordRow, Write } from './schema.ts'
import type { Me, Paired } from './views.ts'
import type { Seen } from './witness.ts'

/** Ask the server who is signed in here and on which database; does not change anything. */
export async function askMe(fetch: Fetch): Promise<Answer<Paired>> {
  const answer = await ask<Paired>(fetch, '/api/me', {}, null)
  const { staff, device } = answer.ok ? answer.body : {}
  const named = staff === null || typeof staff?.id === 'string'
  // Whatever says an epoch and no name is some other program's answer.
  if (!answer.ok || (named && typeof device?.id === 'string')) return answer
  return { ok: false, paused: 'not-ours', problem: null, epoch: null }
}

/** Whether somebody is at the phone, so that records have an author. */
export function isHeld(paired: Paired): paired is Me {
  return paired.staff !== null
}

/**
 * Write down who is at this phone, or that it is paired and nobody is. If the server's database is
 * another one than before (put back from a backup, or replaced), all that was fetched is let go, to
 * be fetched anew, and everything ever recorded on this phone is put in the line again: the server
 * takes each record only once.
 * `seen` is what stands outside the database of what was in it, `count` what the server has of the
 * device's numbers.
 */
export async function adopt(
  db: Database, paired: Paired, seen: Seen | null = null, count: DeviceSeq | null = null,
): Promise<void> {
  await db.write(async (tx) => {
    const epoch = await getMeta(tx, 'epoch')
    const emptied = (await getMeta(tx, 'device')) === undefined && (await getMeta(tx, 'wiped')) === undefined
    if (emptied && seen) await noteEmptied(tx, paired.device.id, seen)
    if (epoch !== undefined && epoch !== paired.epoch) await beginAgain(tx)
    await setMeta(tx, 'epoch', paired.epoch)
    await setMeta(tx, 'paired', paired)
    await setMeta(tx, 'me', isHeld(paired) ? paired : undefined)
    await setMeta(tx, 'device', paired.device.id)
    await setMeta(tx, 'wiped', undefined)
    if (count) await takeCount(tx, paired.device.id, count)
  })
}

/** Nobody is at this phone any more. What waits stays, for when its author is back. */
export async function leave(db: Database): Promise<void> {
  await db.write(async (tx) => {
    await setMeta(tx, 'me', undefined)
    await setMeta(tx, 'paired', undefined)
  })
}

/**
 * In the order they were made: by each device's own count, since ids of several tabs, or of a clock
 * that was set back, do not sort so. Of two devices that this phone has been, the older comes first.
 */
function asMade(rows: readonly RecordRow[]): RecordRow[] {
  const devices = new Map<string, RecordRow[]>()
  for (const row of [...rows].sort((a, b) => (a.id < b.id ? -1 : 1))) {
    devices.set(row.record.device, [...(devices.get(row.record.device) ?? []), row])
  }
  return [...devices.values()].flatMap((own) => own.sort((a, b) => a.record.device_seq - b.record.device_seq))
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
  const dropped = new Set(await getMeta(tx, 'dropped'))
  for (const { record } of asMade(mine)) {
    const at = Date.parse(record.observed.at)
    await keep(tx, [{ record, at, seq: null, mine: true }], touched)
    if (dropped.has(record.id)) {
      await setRefused(tx, record.id, true, touched)
      continue
    }
    // Refused ones too: another database may well take what its predecessor would not.
    await enqueue(tx, record, waiting.get(record.id)?.saved_at ?? at)
  }
  await refold(tx, touched)
}
