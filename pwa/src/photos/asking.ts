/** What the screens ask about photos: of this phone, without a network, but for why one is absent. */
import { ask, type Fetch } from '../sync/answers.ts'
import { PhoneError } from '../sync/errors.ts'
import { phone } from '../sync/phone.svelte.ts'
import type { PhotoRow } from '../sync/schema.ts'
import type { Problem } from '../sync/views.ts'
import { firstPictures, picturesOf, takenOn } from './album.ts'
import type { Picture } from './pictures.ts'
import { inLine, letGo, sendAgain } from './line.ts'
import { inState } from './shelf.ts'

export interface Held {
  readonly bytes: ArrayBuffer | null
  readonly small: ArrayBuffer
}

/** What is on this phone of a photo; null where nothing is, or where it cannot be read. */
export async function heldPhoto(sha256: string): Promise<Held | null> {
  try {
    return (await phone.read((tx) => tx.objectStore('photos').get(sha256))) ?? null
  } catch (error) {
    if (error instanceof PhoneError) return null
    throw error
  }
}

export function pieceAlbum(piece: string): Promise<Picture[]> {
  return phone.read((tx) => picturesOf(tx, piece))
}

/** The last picture of today of a tray or a cut. */
export function takenToday(kind: 'tray' | 'cut', id: string): Promise<string | null> {
  const today = phone.today()
  return phone.read((tx) => takenOn(tx, kind, id, today))
}

export function dayNought(pieces: readonly string[]): Promise<ReadonlyMap<string, Picture>> {
  return phone.read((tx) => firstPictures(tx, pieces))
}

/** Photos the server would not take; they are kept here. */
export function refusedPhotos(): Promise<PhotoRow[]> {
  return phone.read((tx) => tx.objectStore('photos').index('line').getAll(inState('refused')))
}

/** Why the first photo in the line has to wait; null where nothing stands in its way that is known. */
export async function whyWaiting(): Promise<Problem | null> {
  return phone.read(async (tx) => {
    const [first] = await inLine(tx)
    return first === undefined ? null : ((await tx.objectStore('photos').get(first))?.problem ?? null)
  })
}

/** Let go of a refused photo: it is deleted from this phone. */
export async function deletePhoto(sha256: string): Promise<void> {
  await phone.write((tx) => letGo(tx, sha256))
}

/** Why a picture cannot be shown that is not on this phone. */
export type Absent = 'offline' | 'elsewhere' | 'not-given'

/** A picture's own error says nothing of why: the server is asked once more, in words. */
export async function whyAbsent(
  sha256: string,
  fetcher: Fetch = (path, init) => fetch(path, init),
): Promise<Absent> {
  const answer = await ask(fetcher, `/api/photos/${sha256}/small`, {}, null)
  if (answer.ok) return 'not-given'
  if (answer.paused === 'offline') return 'offline'
  return answer.problem?.code === 'photo-not-here' ? 'elsewhere' : 'not-given'
}

export async function tryAgain(sha256: string): Promise<void> {
  await phone.write((tx) => sendAgain(tx, sha256))
  void phone.sync()
}
