import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { encodeQR } from 'qr'
import { beforeAll, describe, expect, it } from 'vitest'
import { checkCharacter, parse } from '../label/code.ts'
import { prepare, readFrame, type Pixels } from './reader.ts'

const code = `4JQZKDM${checkCharacter('4JQZKDM')}`
const text = `HTTPS://FARM.EXAMPLE/Q/${code}`

beforeAll(async () => {
  const file = createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm')
  await prepare({ wasmBinary: readFileSync(file).buffer as ArrayBuffer })
})

function blank(width: number, height: number): Pixels {
  return { data: new Uint8ClampedArray(width * height * 4).fill(255), width, height }
}

/** Draw a symbol, `module` pixels a module, with its top left corner at (left, top). */
function put(image: Pixels, words: string, left: number, top: number, module = 4): number {
  const rows = encodeQR(words, 'raw', { ecc: 'medium', border: 1 })
  rows.forEach((row, y) =>
    row.forEach((dark, x) => {
      if (!dark) return
      for (let at = 0; at < module * module; at += 1) {
        const px = left + x * module + (at % module)
        const py = top + y * module + Math.floor(at / module)
        image.data.set([20, 30, 30, 255], 4 * (py * image.width + px))
      }
    }),
  )
  return rows.length * module
}

describe('a frame', () => {
  it('gives the text of its label and where the label is', async () => {
    const image = blank(640, 480)
    const side = put(image, text, 200, 120)
    const [found, ...rest] = await readFrame(image)
    expect(rest).toEqual([])
    expect(parse(found?.text ?? '')).toEqual({ ok: true, code })
    expect(Math.abs((found?.middle.x ?? 0) - (200 + side / 2))).toBeLessThan(3)
    expect(Math.abs((found?.middle.y ?? 0) - (120 + side / 2))).toBeLessThan(3)
  })

  it('gives every label in view when asked for many', async () => {
    const image = blank(900, 480)
    const texts = ['2222222', 'ABCDEFG', 'ZZZZZZZ'].map((seven) => `HTTPS://FARM.EXAMPLE/Q/${seven}${checkCharacter(seven)}`)
    texts.forEach((one, index) => put(image, one, 60 + index * 270, 150))
    const found = await readFrame(image, { many: true })
    expect(found.map((one) => one.text).sort()).toEqual([...texts].sort())
    expect(await readFrame(image)).toHaveLength(1)
  })

  it('with no label gives nothing, with either reader', async () => {
    expect(await readFrame(blank(320, 240), { second: true })).toEqual([])
  })

  // Dark and light exchanged: the first reader is told not to try it, the second tries by itself.
  it('is given to the second reader where the first finds nothing', async () => {
    const image = blank(640, 480)
    put(image, text, 200, 120)
    for (let at = 0; at < image.data.length; at += 1) if (at % 4 !== 3) image.data[at] = 255 - (image.data[at] ?? 0)
    const first = await readFrame(image)
    const both = await readFrame(image, { second: true })
    expect({ first, texts: both.map((one) => one.text) }).toEqual({ first: [], texts: [text] })
  })
})
