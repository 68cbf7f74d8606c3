/**
 * The outbox. A record, its place in the line, its `device_seq` and the piece as it now stands are
 * written in one transaction; 'saved' means that this has completed. Nothing is ever taken out of
 * the line but by the server's own answer that it holds the record, or by a person who lets go of
 * one that the server has refused.
 */
import { idMaker, make, observe, thisDevice, type Author, type Device } from '../records/make.ts'
import type { AnyRecord, RecordOf } from '../records/kinds.ts'
import type { Id } from '../records/fields.ts'
import { lifted } from '../records/lift.ts'
import type { Database } from './database.ts'
import { shelve } from '../photos/shelf.ts'
import { letGoOfPhoto } from '../photos/unnamed.ts'
import type { Shot } from '../photos/shot.ts'
import { NotSignedIn } from './errors.ts'
import { keep, setRefused, Touched } from './keep.ts'
import { getMeta, lastDeviceSeq, setDeviceSeq, setMeta } from './meta.ts'
import { refold } from './refold.ts'
import type { OutboxRow, Read, Write } from './schema.ts'
import type { AnyDraft, Waiting } from './views.ts'

export interface Unsent {
  readonly waiting: number
  readonly refused: number
  /** When the oldest waiting record was saved, by this device's clock. */
  readonly oldest: number | null
  /** Waiting records by the key of who recorded them. */
  readonly byStaff: Readonly<Record<string, number>>
}

export class Outbox {
  readonly session: Id
  readonly newId: () => Id
  readonly #db: Database
  readonly #device: Device

  constructor(db: Database, device: Device = thisDevice) {
    this.#db = db
    this.#device = device
    this.newId = idMaker(device)
    this.session = this.newId()
  }

  /** The device's clock and tick at sending, for the server to measure how far off it is. */
  sent(): { at: string; session: Id; tick: number } {
    const { at, tick } = observe(this.session, this.#device)
    return { at, session: this.session, tick: tick ?? 0 }
  }

  /**
   * Make the records and save all of them or none. They carry one time and ids in the order of
   * the drafts. `shots` are the photos that some of them name, kept or lost with them. Throws
   * NotSaved; NotSignedIn where `author` is not who this phone belongs to now.
   */
  async save(drafts: readonly AnyDraft[], author: Author, shots: readonly Shot[] = []): Promise<AnyRecord[]> {
    const observed = observe(this.session, this.#device)
    const ids = drafts.map(() => this.newId())
    return this.#db.write(async (tx) => {
      await confirm(tx, author)
      const first = (await lastDeviceSeq(tx, author.device)) + 1
      const records = drafts.map(({ kind, subject, body }, index) =>
        make(kind, subject, body, {
          ...author,
          id: ids[index] ?? this.newId(),
          observed,
          device_seq: first + index,
        }),
      ) as AnyRecord[]
      // The connection was lost at the very end last time, yet all of it had been written.
      if (records[0] && (await tx.objectStore('records').get(records[0].id))) return this.#stored(tx, ids)
      await setDeviceSeq(tx, author.device, first + drafts.length - 1)
      await this.#append(tx, records)
      await shelve(tx, shots, records, this.#device.now())
      return records
    })
  }

  /** Take a record back, sent or not. */
  async retract(records: readonly Id[], why: string, author: Author): Promise<RecordOf<'retract'>[]> {
    const drafts = records.map((id) => ({ kind: 'retract', subject: { kind: 'record', id }, body: { why } }) as const)
    return (await this.save(drafts, author)) as RecordOf<'retract'>[]
  }

  /** Put a refused record back in the line, at the place it had. */
  async retry(record: Id): Promise<void> {
    await this.#db.write(async (tx) => {
      const outbox = tx.objectStore('outbox')
      const row = await outbox.index('record').get(record)
      if (row?.state !== 'refused') return
      await outbox.put({ ...row, state: 'waiting', problem: null })
      const touched = new Touched()
      await setRefused(tx, record, false, touched)
      await refold(tx, touched)
    })
  }

  /**
   * Let go of refused records. They never were in the farm's log, so there is nothing to take back
   * there, and a retraction might hit another record of the same id. They stay here, struck through.
   */
  async drop(records: readonly Id[]): Promise<void> {
    await this.#db.write(async (tx) => {
      const outbox = tx.objectStore('outbox')
      const dropped = new Set(await getMeta(tx, 'dropped'))
      for (const record of records) {
        const row = await outbox.index('record').get(record)
        if (row?.state !== 'refused' || row.id === undefined) continue
        await outbox.delete(row.id)
        dropped.add(record)
        const sent = row.copy ?? (await tx.objectStore('records').get(record))?.record
        if (sent) await letGoOfPhoto(tx, sent)
      }
      await setMeta(tx, 'dropped', [...dropped])
    })
  }

  /** Everything not sent yet, in the order of sending, refused records included; to be shown. */
  async waiting(): Promise<Waiting[]> {
    return this.#db.read(async (tx) => {
      const found: Waiting[] = []
      for (const { record: id, copy, state, problem, saved_at, tries } of await tx.objectStore('outbox').getAll()) {
        const row = await tx.objectStore('records').get(id)
        if (row) found.push({ record: lifted(copy ?? row.record), state, problem, saved_at, tries })
      }
      return found
    })
  }

  async unsent(): Promise<Unsent> {
    return unsentOf(await this.#db.read((tx) => tx.objectStore('outbox').getAll()))
  }

  async #append(tx: Write, records: readonly AnyRecord[]): Promise<void> {
    const touched = new Touched()
    const at = (record: AnyRecord) => Date.parse(record.observed.at)
    await keep(tx, records.map((record) => ({ record, at: at(record), seq: null, mine: true })), touched)
    for (const record of records) await enqueue(tx, record, this.#device.now())
    await refold(tx, touched)
  }

  async #stored(tx: Read, ids: readonly Id[]): Promise<AnyRecord[]> {
    const rows = await Promise.all(ids.map((id) => tx.objectStore('records').get(id)))
    return rows.flatMap((row) => (row ? [row.record as AnyRecord] : []))
  }
}

/** Put a record at the end of the line. */
export async function enqueue(tx: Write, record: Pick<AnyRecord, 'id' | 'staff' | 'device'>, now: number): Promise<void> {
  const { id, staff, device } = record
  const row: OutboxRow = { record: id, staff, device, state: 'waiting', problem: null, saved_at: now, tries: 0 }
  await tx.objectStore('outbox').add(row)
}

/** A phone whose storage was cleared, or passed on in another tab, no longer knows this author. */
async function confirm(tx: Read, author: Author): Promise<void> {
  const me = await getMeta(tx, 'me')
  if (me?.staff.id !== author.staff || me.device.id !== author.device) throw new NotSignedIn()
}

export function unsentOf(rows: readonly OutboxRow[]): Unsent {
  const waiting = rows.filter((row) => row.state === 'waiting')
  const byStaff: Record<string, number> = {}
  for (const { staff } of waiting) byStaff[staff] = (byStaff[staff] ?? 0) + 1
  const oldest = waiting.reduce<number | null>((low, row) => Math.min(low ?? Infinity, row.saved_at), null)
  return { waiting: waiting.length, refused: rows.length - waiting.length, oldest, byStaff }
}
