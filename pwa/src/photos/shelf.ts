/** Photos in the phone's database, as part of the transactions of others. */
import type { AnyRecord } from '../records/kinds.ts'
import type { PhotoRow, Read, Write } from '../sync/schema.ts'
import type { Shot } from './shot.ts'

const WAITING = ['here', 'sending'] as const

export interface Tally {
  /** Not yet wholly at the server. */
  readonly waiting: number
  /** Their size in bytes. */
  readonly bytes: number
  readonly refused: number
}

/** Put the photos beside the records that name them, in the transaction that saves those. */
export async function shelve(tx: Write, shots: readonly Shot[], records: readonly AnyRecord[], now: number): Promise<void> {
  const photos = tx.objectStore('photos')
  for (const { sha256, bytes, media, small } of shots) {
    const naming = records.filter((one) => one.kind === 'photo' && one.body.sha256 === sha256).map((one) => one.id)
    const known = await photos.get(sha256)
    if (known) await photos.put({ ...known, records: [...known.records, ...naming] })
    else await photos.put({ ...fresh(now), sha256, bytes, media, small, size: bytes.byteLength, records: naming })
  }
}

function fresh(now: number): Pick<PhotoRow, 'state' | 'sent' | 'problem' | 'again' | 'saved_at'> {
  return { state: 'here', sent: 0, problem: null, again: false, saved_at: now }
}

/** All photos of a state, in the index. */
export const inState = (state: PhotoRow['state']) => IDBKeyRange.bound([state], [state, []])

export async function tally(tx: Read): Promise<Tally> {
  let [waiting, bytes] = [0, 0]
  for (const state of WAITING) {
    let cursor = await tx.objectStore('photos').index('line').openKeyCursor(inState(state))
    for (; cursor; cursor = await cursor.continue()) {
      waiting += 1
      bytes += cursor.key[2]
    }
  }
  return { waiting, bytes, refused: await tx.objectStore('photos').index('line').count(inState('refused')) }
}
