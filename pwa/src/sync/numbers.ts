/**
 * The gapless run of a device's numbers, through the loss of its storage. A browser may empty the
 * storage and keep the session: the device is then still the same to the server. Its numbers go on
 * from the highest that the server or anything here remembers, never from 1 again, so that what is
 * gone leaves a gap which can be proved; and the loss is kept to be shown to a person.
 */
import { ask, posting, type Answer, type Fetch, type Halt } from './answers.ts'
import type { Database } from './database.ts'
import { getMeta, knownDeviceSeq, lastDeviceSeq, setDeviceSeq, setMeta } from './meta.ts'
import type { Outbox } from './outbox.ts'
import type { Read, Write } from './schema.ts'
import type { PushReply } from './settle.ts'
import type { Loss, Me } from './views.ts'
import type { Seen } from './witness.ts'

export type DeviceSeq = PushReply['device_seq']

/** Ask the server how far the device's numbers have come, where this phone cannot know; else null. */
export async function askCount(
  db: Database, outbox: Outbox, fetch: Fetch, me: Me,
): Promise<Answer<DeviceSeq> | null> {
  if (!(await db.read((tx) => isUnsure(tx, me.device.id)))) return null
  const answer = await pushNothing(outbox, fetch, me)
  if (!answer.ok) return answer
  const { highest, missing } = answer.body.device_seq ?? {}
  if (Number.isSafeInteger(highest) && Array.isArray(missing)) return { ok: true, body: answer.body.device_seq }
  return { ok: false, paused: 'server', problem: null, epoch: null }
}

/** A push of nothing: its answer tells what has come of this device, and that it is still heard. */
export function pushNothing(outbox: Outbox, fetch: Fetch, me: Me): Promise<Answer<PushReply>> {
  const init = posting(JSON.stringify({ device: me.device.id, sent: outbox.sent(), records: [] }))
  return ask<PushReply>(fetch, '/api/sync/push', init, me.epoch)
}

/** Ask, and go on behind what the server has. */
export async function learnCount(db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<Halt | null> {
  const answer = await askCount(db, outbox, fetch, me)
  if (answer && !answer.ok) return answer
  if (answer) await db.write((tx) => takeCount(tx, me.device.id, answer.body))
  return null
}

async function isUnsure(tx: Read, device: string): Promise<boolean> {
  const loss = await getMeta(tx, 'loss')
  if (loss?.device === device && loss.highest === null) return true
  return (await knownDeviceSeq(tx, device)) === undefined
}

export async function takeCount(tx: Write, device: string, { highest, missing }: DeviceSeq): Promise<void> {
  const known = await knownDeviceSeq(tx, device)
  await setDeviceSeq(tx, device, Math.max(highest, known ?? 0))
  const loss = await getMeta(tx, 'loss')
  if (loss?.device === device) await setMeta(tx, 'loss', { ...loss, highest })
  else if (known === undefined && highest > 0) await setMeta(tx, 'loss', { ...fresh(device), highest })
  await noteMissing(tx, device, missing)
}

function fresh(device: string): Loss {
  return { device, at: Date.now(), last: null, unsent: null, oldest: null, photos: null, highest: null, missing: [] }
}

/** The storage is empty though something remembers records in it: go on behind them, and say so. */
export async function noteEmptied(tx: Write, device: string, seen: Seen): Promise<void> {
  const { last, unsent, oldest, photos } = seen
  if (seen.device === device) await setDeviceSeq(tx, device, Math.max(last, await lastDeviceSeq(tx, device)))
  // Paired anew, this is another device; what the first one had not sent is gone all the same.
  else if (unsent + photos === 0) return
  await setMeta(tx, 'loss', { ...fresh(seen.device), last, unsent, oldest, photos })
}

/** Of the numbers that the server lacks, keep those that are not here either, to be shown once. */
export async function noteMissing(tx: Write, device: string, missing: readonly number[]): Promise<void> {
  const gone: number[] = []
  for (const seq of missing) {
    const rows = await tx.objectStore('records').index('mine').getAll(seq)
    if (rows.every((row) => row.record.device !== device)) gone.push(seq)
  }
  const told = await getMeta(tx, 'gaps')
  const news = told?.device === device ? gone.filter((seq) => !told.seqs.includes(seq)) : gone
  if (news.length === 0) return
  const loss = await getMeta(tx, 'loss')
  const before = loss?.device === device ? loss : fresh(device)
  await setMeta(tx, 'gaps', { device, seqs: gone })
  await setMeta(tx, 'loss', { ...before, missing: gone })
}
