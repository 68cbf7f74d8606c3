/** Photos for tests: bytes by chance, named as real ones are. Only tests import this. */
import { expect } from 'vitest'
import type { AnyRecord } from '../records/kinds.ts'
import type { BarePhone } from '../sync/bare-phone.ts'
import type { FakeServer } from '../sync/fake-server.ts'
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

export type Fault = NonNullable<FakeServer['fault']>
export const well: Fault = (_, answer) => answer()
/** Only what is about photos meets the fault. */
export const onPhotos = (fault: Fault): Fault => (request, answer) =>
  request.path.startsWith('/api/photos/') ? fault(request, answer) : answer()
export const onPatch = (fault: Fault): Fault => (request, answer) =>
  /^\/api\/photos\/\w+$/.test(request.path) ? fault(request, answer) : answer()

/** The paths that are asked for from now on, photos' names cut short. */
export function paths(server: FakeServer): string[] {
  const asked: string[] = []
  server.fault = ({ path }, answer) => {
    asked.push(path.replace(/[?].*/, '').replace(/[0-9a-f]{64}/, (sha) => sha.slice(0, 4)))
    return answer()
  }
  return asked
}

/** Every photo is whole at the server, and its bytes have been let go here. */
export async function delivered(server: FakeServer, phone: BarePhone, count = 1): Promise<void> {
  const held = await rows(phone)
  expect(held.map(({ state, bytes, sent, size, problem }) => [state, bytes, sent === size, problem])).toEqual(
    Array.from({ length: count }, () => ['kept', null, true, null]),
  )
  for (const { sha256 } of held) expect(hash(server.photos.arrived.get(sha256) ?? new Uint8Array())).toBe(sha256)
}
