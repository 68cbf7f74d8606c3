/**
 * From a picture that the camera or a file gives to one that is kept: small, upright, and without
 * anything that the camera noted in it. Runs in a browser only.
 */
import { sha256 } from './hash.ts'
import { sizeOf, withoutNotes } from './jpeg.ts'
import type { Shot } from './shot.ts'
import { fit, lightest, MOST_PIXELS, SMALL } from './shrink.ts'
import { NoShot } from './wrong.ts'

/** Where a camera's notes are long, the picture's size stands far behind. */
const HEAD = 1024 * 1024
const SMALL_QUALITY = 0.7

/** Throws NoShot, which says what was wrong. */
export async function shoot(file: Blob): Promise<Shot> {
  const hash = sha256()
  if (!hash) throw new NoShot('needs-https')
  if (file.size === 0) throw new NoShot('empty')
  await refuseHuge(file)
  const bitmap = await open(file)
  try {
    const drawn = await lightest(({ longest, quality }) => draw(bitmap, longest, quality))
    if (!drawn) throw new NoShot('undrawn')
    const bytes = withoutNotes(new Uint8Array(await drawn.arrayBuffer()))
    const small = withoutNotes(new Uint8Array(await (await draw(bitmap, SMALL, SMALL_QUALITY)).arrayBuffer()))
    return { sha256: await hash(bytes), bytes, media: 'image/jpeg', small }
  } finally {
    bitmap.close()
  }
}

/** Opening a picture of too many pixels would take the whole page down, and the check with it. */
async function refuseHuge(file: Blob): Promise<void> {
  const size = sizeOf(new Uint8Array(await read(file.slice(0, HEAD))))
  if (size && size.width * size.height > MOST_PIXELS) throw new NoShot('too-many-pixels')
}

async function read(blob: Blob): Promise<ArrayBuffer> {
  try {
    return await blob.arrayBuffer()
  } catch (error) {
    // The file has gone, or the app that offered it does not hand it out.
    if (error instanceof DOMException) throw new NoShot('unreadable', { cause: error })
    throw error
  }
}

async function open(file: Blob): Promise<ImageBitmap> {
  try {
    return await createImageBitmap(file, { imageOrientation: 'from-image' })
  } catch (error) {
    if (error instanceof DOMException) throw new NoShot('not-a-photo', { cause: error })
    throw error
  }
}

async function draw(bitmap: ImageBitmap, longest: number, quality: number): Promise<Blob> {
  const canvas = document.createElement('canvas')
  Object.assign(canvas, fit(bitmap, longest))
  const pen = canvas.getContext('2d')
  if (!pen) throw new NoShot('undrawn')
  // A picture with holes in it would come out black there.
  pen.fillStyle = 'white'
  pen.fillRect(0, 0, canvas.width, canvas.height)
  pen.imageSmoothingQuality = 'high'
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height)
  const blob = await new Promise<Blob | null>((give) => canvas.toBlob(give, 'image/jpeg', quality))
  // Some phones hold on to a canvas's memory until it is emptied.
  canvas.width = 0
  if (blob?.type !== 'image/jpeg') throw new NoShot('undrawn')
  return blob
}
