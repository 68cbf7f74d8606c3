/** Writing down what the server said of each record it was sent. */
import { keep, setRefused, Touched } from './keep.ts'
import type { Batch, Sending } from './batches.ts'
import type { Database } from './database.ts'
import { lastDeviceSeq, setDeviceSeq, setMeta } from './meta.ts'
import { noteHeld } from './fates.ts'
import { noteAnswers } from './notes.ts'
import { noteMissing } from './numbers.ts'
import { enqueue } from './outbox.ts'
import { refold } from './refold.ts'
import type { Write } from './schema.ts'
import type { Problem } from './views.ts'

export interface PushAnswer {
  readonly id: string | null
  readonly index: number
  readonly answer: 'stored' | 'duplicate' | 'refused' | 'later'
  readonly seq: number | null
  readonly at: number | null
  readonly problem: Problem | null
  readonly notes: readonly string[]
}

export interface PushReply {
  readonly epoch: string
  readonly now: string
  readonly skew_ms: number
  readonly answers: readonly PushAnswer[]
  readonly device_seq: { readonly highest: number; readonly missing: readonly number[] }
}

/**
 * Write down what the server said of each record, in one transaction. `resent` names the records
 * put in the line again in this round, so that a server that cannot count is not sent one for ever.
 */
export async function settle(
  db: Database, batch: Batch, reply: PushReply, resent: Set<string>,
): Promise<void> {
  await db.write(async (tx) => {
    const touched = new Touched()
    for (const answer of reply.answers) {
      const one = batch.sending[answer.index]
      if (!one || (answer.id !== null && answer.id !== one.row.id)) continue
      if (answer.answer === 'refused') await refuse(tx, one, answer.problem, touched)
      else await deliver(tx, one, answer, touched)
    }
    await noteAnswers(tx, batch, reply)
    await noteHeld(tx, batch, reply)
    await setMeta(tx, 'skew', reply.skew_ms)
    await refold(tx, touched)
    await findGaps(tx, batch.device, reply, resent)
  })
}

async function deliver(tx: Write, one: Sending, answer: PushAnswer, touched: Touched): Promise<void> {
  const { record, at } = one.row
  await tx.objectStore('outbox').delete(one.place)
  await keep(tx, [{ record, at: answer.at ?? at, seq: answer.seq, mine: true, held: answer.answer === 'later' }], touched)
}

async function refuse(tx: Write, one: Sending, problem: Problem | null, touched: Touched): Promise<void> {
  const waiting = await tx.objectStore('outbox').get(one.place)
  if (!waiting) return
  await tx.objectStore('outbox').put({ ...waiting, state: 'refused', problem, tries: waiting.tries + 1 })
  // Where the farm has another record of that id, that one stands.
  if (!waiting.copy) await setRefused(tx, one.row.id, true, touched)
}

/** A record that no batch can carry is shown to its author rather than tried for ever. */
export async function setAside(db: Database, sending: readonly Sending[], problem: Problem | null): Promise<void> {
  await db.write(async (tx) => {
    const touched = new Touched()
    for (const one of sending) await refuse(tx, one, problem, touched)
    await refold(tx, touched)
  })
}

export async function countTry(db: Database, sending: readonly Sending[]): Promise<void> {
  await db.write(async (tx) => {
    for (const { place } of sending) {
      const row = await tx.objectStore('outbox').get(place)
      if (row) await tx.objectStore('outbox').put({ ...row, tries: row.tries + 1 })
    }
  })
}

/**
 * Send again what the server lacks though we took it to be there; never number twice. What it would
 * not have is for a person to send again.
 */
async function findGaps(
  tx: Write, device: string, { device_seq }: PushReply, resent: Set<string>,
): Promise<void> {
  const { highest, missing } = device_seq
  if (highest > (await lastDeviceSeq(tx, device))) await setDeviceSeq(tx, device, highest)
  await noteMissing(tx, device, missing)
  for (const seq of missing) {
    for (const row of await tx.objectStore('records').index('mine').getAll(seq)) {
      if (row.record.device !== device || row.refused || resent.has(row.id)) continue
      resent.add(row.id)
      const waits = await tx.objectStore('outbox').index('record').getKey(row.id)
      if (waits === undefined) await enqueue(tx, row.record, Date.parse(row.record.observed.at))
    }
  }
}
