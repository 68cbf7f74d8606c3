/** Pictures out of the phone's database, as part of a transaction. */
import { isKnown, type RecordOf } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import { localDay } from '../stock/days.ts'
import { subjectKey } from '../sync/keep.ts'
import { zoneOf } from '../sync/refold.ts'
import type { Read, RecordRow } from '../sync/schema.ts'
import { pictures, type Picture, type Taken } from './pictures.ts'

/** A piece's pictures, oldest first. */
export async function picturesOf(tx: Read, piece: string): Promise<Picture[]> {
  const rows = await tx.objectStore('records').index('piece').getAll(piece)
  const state = (await tx.objectStore('pieces').get(piece))?.state
  const glued = standing(rows, 'glue').find(({ record }) => record.id === state?.begun?.record)
  const tray = glued?.record.body.tray
  return pictures(
    {
      own: standing(rows, 'photo').filter(({ record }) => record.subject.kind === 'piece'),
      tray: tray === undefined ? [] : await takenOf(tx, 'tray', tray),
      cut: glued ? await takenOf(tx, 'cut', glued.record.body.cut) : [],
      began: state?.begun?.day ?? null,
    },
    await zoneOf(tx),
  )
}

/** The last picture of a subject that was taken on a local date; null where there is none. */
export async function takenOn(tx: Read, kind: 'tray' | 'cut', id: string, date: string): Promise<string | null> {
  const zone = await zoneOf(tx)
  const found = (await takenOf(tx, kind, id)).filter(({ at }) => localDay(at, zone) === date)
  return found.at(-1)?.record.body.sha256 ?? null
}

/** By piece, its own picture of the day it was glued, or the tray's of that day. */
export async function firstPictures(tx: Read, pieces: readonly string[]): Promise<ReadonlyMap<string, Picture>> {
  const found = new Map<string, Picture>()
  for (const piece of pieces) {
    const first = (await picturesOf(tx, piece)).find(({ day, of }) => day === 0 && of !== 'cut')
    if (first) found.set(piece, first)
  }
  return found
}

/** Every picture of a tray or a cut that stands, oldest first. */
export async function takenOf(tx: Read, kind: 'tray' | 'cut', id: string): Promise<Taken[]> {
  return standing(await tx.objectStore('records').index('subject').getAll(subjectKey(kind, id)), 'photo')
}

/** Records of one kind that were neither taken back nor refused, in order. */
function standing<K extends 'photo' | 'glue'>(rows: readonly RecordRow[], kind: K): { at: number; record: RecordOf<K> }[] {
  const found: { at: number; record: RecordOf<K> }[] = []
  for (const row of rows) {
    const record = lifted(row.record)
    if (record.kind === kind && isKnown(record) && !row.gone && !row.refused) found.push({ at: row.at, record: record as RecordOf<K> })
  }
  return found.sort((a, b) => a.at - b.at || (a.record.id < b.record.id ? -1 : 1))
}
