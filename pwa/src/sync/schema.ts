/** What the phone's database holds, and how it got from one version to the next. */
import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from 'idb'
import type { BodyOf, WireRecord } from '../records/kinds.ts'
import type { Item } from '../stock/lists.ts'
import type { PieceState } from '../stock/state.ts'
import type { Me, Problem } from './views.ts'

/** A record as held here. */
export interface RecordRow {
  readonly id: string
  /** Corrected time; the device's own until the server has said better. */
  at: number
  /** Place in the server's log; null until the server has given one. */
  seq: number | null
  /** `kind:id` of what it is about. */
  readonly subject: string
  /** The piece whose fold it enters. */
  piece: string | null
  /** Its `device_seq` where it was made on this phone, else null. */
  readonly mine: number | null
  /** Taken back by a retraction that stands. */
  gone: boolean
  /** The server would not have it, or a lead set it aside: kept and shown, counts for nothing. */
  refused: boolean
  /** The server holds it and has not put it in the log: until it is there, a list stays as it was. */
  held?: boolean
  readonly record: WireRecord
}

export interface OutboxRow {
  /** Given by the database: the order of sending. */
  id?: number
  readonly record: string
  readonly staff: string
  readonly device: string
  state: 'waiting' | 'refused'
  problem: Problem | null
  readonly saved_at: number
  tries: number
  /** The refused record itself, where the farm has another one of the same id. */
  copy?: WireRecord
}

export interface PieceRow {
  readonly id: string
  state: PieceState
  /** The server's state of a piece not all of whose records are here; newer ones go on top. */
  base: PieceState | null
  /** Codes it was given, and those of them it holds. */
  codes: string[]
  held: string[]
}

export interface CutRow {
  readonly id: string
  readonly record: string
  readonly at: number
  readonly mother: string
  /** No record of the cut stands; kept since pieces glued from it still name it. */
  readonly gone: boolean
  readonly body: BodyOf<'cut'>
}

/** A photo as held here, named by its own bytes. */
export interface PhotoRow {
  readonly sha256: string
  /** Null once the server has it: then only `small` stays. Never a Blob, which some phones lose. */
  bytes: ArrayBuffer | null
  readonly media: 'image/jpeg'
  readonly size: number
  /** The same picture at about 320 px. */
  readonly small: ArrayBuffer
  /** `sending`: a part of it is at the server. `refused`: kept here, and shown to a person. */
  state: 'here' | 'sending' | 'kept' | 'refused'
  /** How many bytes the server had when it last said so. */
  sent: number
  /** Why it was refused, or why it still waits. */
  problem: Problem | null
  /** It has been begun again once. */
  again: boolean
  /** The records that name it; it is sent once one of them has arrived. */
  records: string[]
  readonly saved_at: number
}

/** Single values by name; `device_seq:<device>` besides these. */
export interface Meta {
  me: Me
  /** This phone's key on the server, kept on signing out so that it stays the same device. */
  device: string
  epoch: string
  cursor: string
  /** The last page said there was more: what is on this phone is not whole yet. */
  more: boolean
  /** The device's clock less the server's, in milliseconds, as of the last push. */
  skew: number
  /** Records that were taken back before they came here. */
  orphans: string[]
}

export interface Schema extends DBSchema {
  records: {
    key: string
    value: RecordRow
    indexes: { piece: string; subject: string; mine: number }
  }
  outbox: { key: number; value: OutboxRow; indexes: { record: string } }
  pieces: {
    key: string
    value: PieceRow
    indexes: { codes: string; spot: [string, string]; tray: string; stage: string; cut: string }
  }
  cuts: { key: string; value: CutRow; indexes: { mother: string } }
  items: { key: string; value: Item }
  meta: { key: string; value: unknown }
  photos: { key: string; value: PhotoRow; indexes: { line: [string, number, number] } }
}

export const STORES = ['records', 'outbox', 'pieces', 'cuts', 'items', 'meta', 'photos'] as const satisfies StoreNames<Schema>[]
type Names = StoreNames<Schema>[]
export type Read = IDBPTransaction<Schema, Names, 'readonly' | 'readwrite'>
export type Write = IDBPTransaction<Schema, Names, 'readwrite'>

/** Additive only, from each version to the next: unsent records are never rewritten. */
export const MIGRATIONS: readonly ((db: IDBPDatabase<Schema>) => void)[] = [
  (db) => {
    const records = db.createObjectStore('records', { keyPath: 'id' })
    records.createIndex('piece', 'piece')
    records.createIndex('subject', 'subject')
    records.createIndex('mine', 'mine')
    const outbox = db.createObjectStore('outbox', { keyPath: 'id', autoIncrement: true })
    outbox.createIndex('record', 'record', { unique: true })
    const pieces = db.createObjectStore('pieces', { keyPath: 'id' })
    pieces.createIndex('codes', 'codes', { multiEntry: true })
    pieces.createIndex('spot', ['state.tray', 'state.place'])
    pieces.createIndex('tray', 'state.tray')
    pieces.createIndex('stage', 'state.stage')
    pieces.createIndex('cut', 'state.cut')
    db.createObjectStore('cuts', { keyPath: 'id' }).createIndex('mother', 'mother')
    db.createObjectStore('items', { keyPath: 'id' })
    db.createObjectStore('meta')
  },
  (db) => {
    // Counted and put in order by this index alone: the photos themselves would be megabytes to read.
    db.createObjectStore('photos', { keyPath: 'sha256' }).createIndex('line', ['state', 'saved_at', 'size'])
  },
]
