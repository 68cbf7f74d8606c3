/** States of closed pieces, which the server sends without their records. */
import { takesBack } from '../records/kinds.ts'
import { fold } from '../stock/fold.ts'
import type { PieceState } from '../stock/state.ts'
import { subjectKey } from './keep.ts'
import { asToday, counts, onTop, putPiece, zoneOf } from './refold.ts'
import type { Read, RecordRow, Write } from './schema.ts'

const NONE: ReadonlySet<string> = new Set()

/**
 * Take the server's state of a piece. Where the phone's own fold of what the server holds comes to
 * the same, the phone has all its records and its own fold stands; else the server's state is the
 * ground on which the phone's newer records are put.
 */
export async function takeState(tx: Write, theirs: PieceState): Promise<void> {
  const rows = (await tx.objectStore('records').index('piece').getAll(theirs.id)).map(asToday)
  const zone = await zoneOf(tx)
  const ours = fold(theirs.id, await acknowledged(tx, rows), NONE, zone)
  const base = JSON.stringify(ours) === JSON.stringify(theirs) ? null : theirs
  const known = await tx.objectStore('pieces').get(theirs.id)
  if (base === null && known?.base === null) return
  await putPiece(tx, {
    id: theirs.id,
    state: base ? onTop(base, rows, zone) : fold(theirs.id, rows.filter(counts), NONE, zone),
    base,
    codes: known?.codes ?? [],
    held: known?.held ?? [],
  })
}

/** The records of a piece as the server knows them: with a seq, and not taken back by one with. */
async function acknowledged(tx: Read, rows: readonly RecordRow[]): Promise<RecordRow[]> {
  const kept: RecordRow[] = []
  for (const row of rows) {
    if (row.seq === null) continue
    const about = row.gone ? await tx.objectStore('records').index('subject').getAll(subjectKey('record', row.id)) : []
    const gone = about.some((other) => takesBack(other.record) && other.seq !== null)
    if (!gone) kept.push(row)
  }
  return kept
}
