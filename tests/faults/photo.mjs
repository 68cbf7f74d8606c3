/** A photo taken on a handset: read from a file, named by its bytes, saved with its record. */
import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'

export async function take({ phone }, { me, piece, file }) {
  const read = await readFile(file)
  const bytes = new Uint8Array(read).buffer
  const sha256 = createHash('sha256').update(read).digest('hex')
  const shot = { sha256, bytes, media: 'image/jpeg', small: new Uint8Array([1, 2, 3]).buffer }
  const draft = { kind: 'photo', subject: { kind: 'piece', id: piece }, body: { sha256, bytes: bytes.byteLength, media: 'image/jpeg' } }
  const records = await phone.outbox.save([draft], { staff: me.staff.id, device: me.device.id }, [shot])
  return { records, sha256, size: bytes.byteLength }
}

/** The photos that the phone holds, without their bytes. */
export async function held({ phone }) {
  const rows = await phone.db.read((tx) => tx.objectStore('photos').getAll())
  return { photos: rows.map(({ sha256, state, size, sent, bytes }) => ({ sha256, state, size, sent, here: bytes?.byteLength ?? 0 })) }
}
