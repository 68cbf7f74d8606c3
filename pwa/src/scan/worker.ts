import wasmFile from 'zxing-wasm/reader/zxing_reader.wasm?url'
import { toFrame, type Crop } from './crops.ts'
import { prepare, readFrame, type Asking, type Reading } from './reader.ts'

export interface Question extends Asking {
  /** The crop's pixels as they are in the frame; enlarged here, off the screen's thread. */
  readonly picture: ImageBitmap
  readonly crop: Crop
}

/** Readings have frame coordinates. `fault` is set where the reader itself could not be loaded. */
export type Answer =
  | { readonly many: boolean; readonly readings: readonly Reading[]; readonly fault?: undefined }
  | { readonly fault: string }

const ready = prepare({ locateFile: () => wasmFile })
const canvas = new OffscreenCanvas(1, 1)
const pen = canvas.getContext('2d', { willReadFrequently: true })

function pixels({ picture, crop }: Question): ImageData {
  if (!pen) throw new Error('this browser gives no drawing surface to a worker')
  const width = Math.round(crop.width * crop.scale)
  const height = Math.round(crop.height * crop.scale)
  if (canvas.width !== width) canvas.width = width
  if (canvas.height !== height) canvas.height = height
  pen.imageSmoothingQuality = 'high'
  pen.drawImage(picture, 0, 0, width, height)
  picture.close()
  return pen.getImageData(0, 0, width, height)
}

async function answer(question: Question): Promise<Answer> {
  await ready
  const readings = await readFrame(pixels(question), question)
  return {
    many: question.many === true,
    readings: readings.map(({ text, middle }) => ({ text, middle: toFrame(middle, question.crop) })),
  }
}

self.onmessage = ({ data }: MessageEvent<Question>) => {
  answer(data).then(
    (done) => self.postMessage(done),
    (error: unknown) => self.postMessage({ fault: String(error) } satisfies Answer),
  )
}
