/** Photos for tests: bytes by chance, named as real ones are. Only tests import this. */
import type { AnyRecord } from '../records/kinds.ts'
import type { BarePhone } from '../sync/bare-phone.ts'
import type { PhotoRow } from '../sync/schema.ts'
import { PIECE } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { hash } from './fake-photos.ts'
import { photoDraft, type Shot } from './shot.ts'

export const author = { staff: 'staff.ada', device: 'device.one' }
const ABOUT = { kind: 'piece', id: PIECE } as const

export function shot(size: number, seed = 1): Shot {
  // Marsaglia's xorshift32: any bytes do, so long as each photo's are its own.
  let state = seed * 2654435761 || 1
  const bytes = Uint8Array.from({ length: size }, () => {
    state ^= state << 13
    state ^= state >>> 17
    state ^= state << 5
    return state & 0xff
  })
  return { sha256: hash(bytes), bytes: bytes.buffer, media: 'image/jpeg', small: new Uint8Array([1, 2, 3]).buffer }
}

/** Save photos of the piece, with other drafts before them. */
export function saveShots(phone: BarePhone, shots: readonly Shot[], drafts: readonly AnyDraft[] = []): Promise<AnyRecord[]> {
  return phone.outbox.save([...drafts, ...shots.map((one) => photoDraft(one, ABOUT))], author, shots)
}

export async function rows(phone: BarePhone): Promise<PhotoRow[]> {
  const all = await phone.db.read((tx) => tx.objectStore('photos').getAll())
  return all.sort((a, b) => a.saved_at - b.saved_at || (a.sha256 < b.sha256 ? -1 : 1))
}
