/** Photos that no record names any more. */
import type { WireRecord } from '../records/kinds.ts'
import { isKnown } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import type { Write } from '../sync/schema.ts'

/**
 * With a refused record that a person lets go of goes the photo it names, unless another names it
 * too or the server has it: without a record it would wait for ever.
 */
export async function letGoOfPhoto(tx: Write, sent: WireRecord): Promise<void> {
  const record = lifted(sent)
  if (!isKnown(record) || record.kind !== 'photo') return
  const photos = tx.objectStore('photos')
  const photo = await photos.get(record.body.sha256)
  if (!photo) return
  const records = photo.records.filter((id) => id !== record.id)
  if (records.length > 0 || photo.state === 'kept') await photos.put({ ...photo, records })
  else await photos.delete(photo.sha256)
}
