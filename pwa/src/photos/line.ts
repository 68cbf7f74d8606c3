/** The line of photos on their way to the server, as part of a transaction. */
import type { PhotoRow, Read, Write } from '../sync/schema.ts'
import { inState } from './shelf.ts'

/** Small pictures of sent photos that are kept, about 20 MB in all; the oldest make room. */
const MOST_SMALL = 1000

/** The photos that are not yet wholly at the server: begun ones first, then the oldest. */
export async function inLine(tx: Read): Promise<string[]> {
  const line = tx.objectStore('photos').index('line')
  return [...(await line.getAllKeys(inState('sending'))), ...(await line.getAllKeys(inState('here')))]
}

/** A photo that may be sent now: its bytes are here, and a record that names it has arrived. */
export async function sendable(tx: Read, sha256: string): Promise<(PhotoRow & { readonly bytes: ArrayBuffer }) | null> {
  const row = await tx.objectStore('photos').get(sha256)
  if (!row?.bytes || (row.state !== 'here' && row.state !== 'sending')) return null
  for (const id of row.records) {
    if ((await tx.objectStore('outbox').index('record').getKey(id)) === undefined) return { ...row, bytes: row.bytes }
  }
  return null
}

/** How far the server has it, and what it says; written only where that is news. */
export async function noteSent(tx: Write, sha256: string, sent: number, problem: PhotoRow['problem']): Promise<void> {
  const row = await tx.objectStore('photos').get(sha256)
  if (!row || (row.state !== 'here' && row.state !== 'sending')) return
  const state = sent > 0 ? 'sending' : 'here'
  if (row.state === state && row.sent === sent && row.problem?.code === problem?.code) return
  await tx.objectStore('photos').put({ ...row, state, sent, problem })
}

export async function noteAgain(tx: Write, sha256: string): Promise<void> {
  const row = await tx.objectStore('photos').get(sha256)
  if (row) await tx.objectStore('photos').put({ ...row, again: true, sent: 0 })
}

/** The server will not have it: kept here with the reason, and shown. */
export async function setRefused(tx: Write, sha256: string, problem: PhotoRow['problem']): Promise<void> {
  const row = await tx.objectStore('photos').get(sha256)
  if (row) await tx.objectStore('photos').put({ ...row, state: 'refused', sent: 0, problem })
}

/** The server says it is kept there: only now may the bytes go. */
export async function setKept(tx: Write, sha256: string): Promise<void> {
  const photos = tx.objectStore('photos')
  const row = await photos.get(sha256)
  if (!row) return
  await photos.put({ ...row, bytes: null, state: 'kept', sent: row.size, problem: null })
  const line = photos.index('line')
  const over = (await line.count(inState('kept'))) - MOST_SMALL
  if (over <= 0) return
  for (const key of await line.getAllKeys(inState('kept'), over)) await photos.delete(key)
}

/** A person lets go of a photo that the server will not have: nothing of it stays here. */
export async function letGo(tx: Write, sha256: string): Promise<void> {
  const row = await tx.objectStore('photos').get(sha256)
  if (row?.state === 'refused') await tx.objectStore('photos').delete(sha256)
}

/** Put a refused photo back in the line. */
export async function sendAgain(tx: Write, sha256: string): Promise<void> {
  const row = await tx.objectStore('photos').get(sha256)
  if (row?.state === 'refused') await tx.objectStore('photos').put({ ...row, state: 'here', problem: null, again: false })
}
