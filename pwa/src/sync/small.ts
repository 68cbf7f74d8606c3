import { shoot } from '../photos/take.ts'
import { NoShot } from '../photos/wrong.ts'

/** The picture at about 320 px; the picture itself where this browser cannot draw it. */
export async function small(bytes: ArrayBuffer): Promise<ArrayBuffer> {
  try {
    return (await shoot(new Blob([bytes], { type: 'image/jpeg' }))).small
  } catch (error) {
    if (!(error instanceof NoShot)) throw error
    return bytes
  }
}
