import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { beforeAll, describe, expect, it } from 'vitest'
import { prepare, readFrame } from '../scan/reader.ts'
import { drawQr, pairedSince, type QrDrawing } from './pairing.ts'
import type { Change } from './people.ts'

const entry = (id: number, what: string, who: string, detail: Change['detail'] = {}): Change => ({
  id, at: 0, who, device: 'd', what, about: 'd', detail,
})

describe('a pairing', () => {
  const entries = [
    entry(9, 'held', 'ines'),
    entry(8, 'device-paired', 'ines', { name: 'Shelf', shared: true }),
    entry(7, 'device-paired', 'tomas', { name: 'His', shared: false }),
    entry(6, 'pairing-made', 'ines', { shared: true }),
  ]

  it('is noticed for the phone it was made for, and only if it came afterwards', () => {
    expect(pairedSince(entries, 6, null)).toEqual({ name: 'Shelf', shared: true })
    expect(pairedSince(entries, 6, 'tomas')).toEqual({ name: 'His', shared: false })
    expect(pairedSince(entries, 6, 'ines')).toBeNull()
    expect(pairedSince(entries, 8, null)).toBeNull()
    expect(pairedSince([], 0, null)).toBeNull()
  })
})

/** Black and white pixels, `scale` a module, from the path alone. */
function paint({ size, path }: QrDrawing, scale: number) {
  const width = size * scale
  const data = new Uint8ClampedArray(width * width * 4).fill(255)
  for (const [, x, y, run] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)) {
    for (let row = Number(y) * scale; row < (Number(y) + 1) * scale; row += 1) {
      for (let at = Number(x) * scale; at < (Number(x) + Number(run)) * scale; at += 1) {
        data.fill(0, 4 * (row * width + at), 4 * (row * width + at) + 3)
      }
    }
  }
  return { data, width, height: width }
}

describe('the code on the screen', () => {
  beforeAll(async () => {
    const file = createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm')
    await prepare({ wasmBinary: readFileSync(file).buffer as ArrayBuffer })
  })

  it('is read back by another program’s reader, quiet zone and all', async () => {
    const address = 'https://nubbin.local:8443/sign-in#Zk3v9Qx0b1LqT7yR2mWc8N5uAeHj4DfG'
    const drawing = drawQr(address)
    expect([...drawing.path.matchAll(/M(\d+) (\d+)h(\d+)/g)].every(([, x, y, run]) =>
      Number(x) >= 4 && Number(y) >= 4 && Number(x) + Number(run) <= drawing.size - 4 && Number(y) < drawing.size - 4,
    )).toBe(true)
    const [found] = await readFrame(paint(drawing, 4))
    expect(found?.text).toBe(address)
  })
})
