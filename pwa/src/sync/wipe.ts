import { setMeta } from './meta.ts'
import { STORES, type Write } from './schema.ts'

/** Delete everything, and leave the mark that it was meant: else it would be taken for a loss. */
export async function wipe(tx: Write): Promise<void> {
  for (const store of STORES) await tx.objectStore(store).clear()
  await setMeta(tx, 'wiped', true)
}
