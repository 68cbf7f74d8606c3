/** Which records go into one push: of one person and one device, in the order they were saved. */
import type { Key } from '../records/fields.ts'
import type { Database } from './database.ts'
import type { RecordRow } from './schema.ts'

export const BATCH_RECORDS = 500
/** Less than the server's mebibyte, to leave room for the envelope round the records. */
export const BATCH_BYTES = 1024 * 1024 - 4096

export interface Sending {
  /** Place in the line. */
  readonly place: number
  readonly row: RecordRow
  readonly text: string
}

export interface Batch {
  readonly device: Key
  /** How far in the line this batch has come. */
  readonly last: number
  readonly sending: readonly Sending[]
}

const encoder = new TextEncoder()

/**
 * How many records go at once. A line may be so slow that a whole batch never comes through in the
 * time that is allowed: half as many are tried next, and twice as many again once they went.
 */
export class Load {
  most = BATCH_RECORDS

  failed(tried: number): void {
    this.most = Math.max(1, Math.floor(Math.min(tried, this.most) / 2))
  }

  went(): void {
    this.most = Math.min(BATCH_RECORDS, this.most * 2)
  }
}

/** The next batch behind `place` in the line, of `most` records; null where nothing of this person waits there. */
export async function nextBatch(db: Database, staff: Key, place: number, most = BATCH_RECORDS): Promise<Batch | null> {
  return db.read(async (tx) => {
    const rows = await tx.objectStore('outbox').getAll(IDBKeyRange.lowerBound(place, true))
    const mine = rows.filter((row) => row.state === 'waiting' && row.staff === staff)
    const device = mine[0]?.device
    if (device === undefined) return null
    const sending: Sending[] = []
    let bytes = 0
    let last = place
    for (const waiting of mine) {
      if (waiting.device !== device || sending.length === most) break
      const row = await tx.objectStore('records').get(waiting.record)
      if (!row) continue
      const text = JSON.stringify(waiting.copy ?? row.record)
      bytes += encoder.encode(text).length + 1
      if (bytes > BATCH_BYTES && sending.length > 0) break
      last = waiting.id ?? last
      sending.push({ place: last, row, text })
    }
    return sending.length > 0 ? { device, last, sending } : null
  })
}

/** Two halves, for finding the record that spoils a whole batch. */
export function halves(batch: Batch): [Batch, Batch] {
  const middle = Math.ceil(batch.sending.length / 2)
  return [
    { ...batch, sending: batch.sending.slice(0, middle) },
    { ...batch, sending: batch.sending.slice(middle) },
  ]
}
