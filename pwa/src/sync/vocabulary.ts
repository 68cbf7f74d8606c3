/**
 * A newer app may understand records that the one before it only kept. Then everything on the phone
 * is folded again, once, out of the records as they are stored.
 */
import { SUBJECTS, takesBack } from '../records/kinds.ts'
import { versionOf } from '../records/lift.ts'
import type { Database } from './database.ts'
import { PhoneError } from './errors.ts'
import { pieceOf, takeBack, Touched } from './keep.ts'
import { getMeta, setMeta } from './meta.ts'
import { refold } from './refold.ts'
import type { RecordRow, Write } from './schema.ts'

/** Every kind with its version, as the app that is running knows them. */
export function vocabulary(): string {
  return Object.keys(SUBJECTS).map((kind) => `${kind}.${versionOf(kind)}`).join(' ')
}

/** Fold again if this app knows other kinds or versions than the one that folded before. */
export async function reread(db: Database): Promise<void> {
  const now = vocabulary()
  try {
    if ((await db.read((tx) => getMeta(tx, 'vocabulary'))) !== now) await db.write((tx) => again(tx, now))
  } catch (error) {
    // What is here is shown as it was folded before, and it is tried again when the app is next opened.
    if (!(error instanceof PhoneError)) throw error
  }
}

async function again(tx: Write, now: string): Promise<void> {
  const touched = new Touched()
  for (const row of await tx.objectStore('records').getAll()) {
    const piece = placeOf(row)
    const put = piece === row.piece ? row : { ...row, piece }
    if (put !== row) await tx.objectStore('records').put(put)
    touched.add(put)
    if (takesBack(row.record)) await takeBack(tx, row.record.subject.id, touched)
  }
  await refold(tx, touched)
  await setMeta(tx, 'vocabulary', now)
}

/** Of the end of a cut its cut's records tell, and have told already. */
function placeOf(row: RecordRow): string | null {
  return row.record.kind === 'cut_end' ? row.piece : pieceOf(row.record)
}
