/** A photo that was taken and is not saved yet. Pure. */
import type { SubjectOf } from '../records/kinds.ts'
import type { Draft } from '../sync/views.ts'

export interface Shot {
  /** Of `bytes`, in small hexadecimal digits. */
  readonly sha256: string
  readonly bytes: ArrayBuffer
  readonly media: 'image/jpeg'
  /** The same picture at about 320 px, a JPEG too. */
  readonly small: ArrayBuffer
}

/** The record that names the photo; to be saved with it, all or none. */
export function photoDraft({ sha256, bytes, media }: Shot, subject: SubjectOf<'photo'>, day0 = false): Draft<'photo'> {
  const body = { sha256, bytes: bytes.byteLength, media, ...(day0 && { day0 }) }
  return { kind: 'photo', subject, body }
}
