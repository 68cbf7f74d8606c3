import decodeQR, { type FinderPoints } from 'qr/decode.js'
import { prepareZXingModule, readBarcodes, type ReaderOptions, type ZXingModuleOverrides } from 'zxing-wasm/reader'
import type { Spot } from './crops.ts'

/** RGBA pixels; an ImageData is one. */
export interface Pixels {
  readonly data: Uint8ClampedArray
  readonly width: number
  readonly height: number
}

/** The text of one symbol and where its middle is, in pixels of the picture given. */
export interface Reading {
  readonly text: string
  readonly middle: Spot
}

export interface Asking {
  /** Ask the second reader where the first finds nothing. */
  readonly second?: boolean
  /** Look for every label in view, not only the first. */
  readonly many?: boolean
}

// Labels are dark on light and the finder patterns give the turn, so trying both again costs only.
const OPTIONS: ReaderOptions = {
  formats: ['QRCode'],
  maxNumberOfSymbols: 1,
  tryHarder: true,
  tryInvert: false,
  tryRotate: false,
  textMode: 'Plain',
  binarizer: 'LocalAverage',
}
const MOST_IN_VIEW = 24

/**
 * Make the reader ready. In the app `locateFile` names our own copy of its WebAssembly file (it
 * would otherwise be fetched from elsewhere); elsewhere `wasmBinary` hands the bytes over.
 */
export async function prepare(overrides: ZXingModuleOverrides): Promise<void> {
  await prepareZXingModule({ overrides, fireImmediately: true })
}

function between(spots: readonly Spot[]): Spot {
  const sum = spots.reduce((all, spot) => ({ x: all.x + spot.x, y: all.y + spot.y }), { x: 0, y: 0 })
  return { x: sum.x / spots.length, y: sum.y / spots.length }
}

function secondReading(image: Pixels): Reading[] {
  let middle: Spot = { x: image.width / 2, y: image.height / 2 }
  const seen = (found: FinderPoints) => (middle = between(found.bounds))
  try {
    const text = decodeQR(image, { pointsOnDetect: seen })
    return [{ text, middle }]
  } catch (error) {
    // It throws a plain Error for 'none found'; anything more exact is a fault of ours.
    if (error instanceof TypeError || error instanceof RangeError || !(error instanceof Error)) throw error
    return []
  }
}

/**
 * The texts of the QR symbols in one picture, unchecked: a reader can return a false text, so every
 * text goes through `parse` of the label's code before it is believed.
 */
export async function readFrame(image: Pixels, { second = false, many = false }: Asking = {}): Promise<Reading[]> {
  const options = many ? { ...OPTIONS, maxNumberOfSymbols: MOST_IN_VIEW } : OPTIONS
  const found = await readBarcodes(image as ImageData, options)
  const readings = found
    .filter((one) => one.isValid)
    .map(({ text, position: at }) => ({
      text,
      middle: between([at.topLeft, at.topRight, at.bottomRight, at.bottomLeft]),
    }))
  return readings.length === 0 && second ? secondReading(image) : readings
}
