import { describe, expect, it } from 'vitest'
import { JPEG, PNG, PROGRESSIVE, WEBP, WEBP_LOSSLESS, WEBP_NOTES } from './examples.ts'
import { segments, sizeOf, withoutNotes } from './jpeg.ts'
import { ATTEMPTS, fit, HEAVIEST, lightest, LONGEST, type Attempt } from './shrink.ts'

const markers = (bytes: Uint8Array) => segments(bytes).map(({ marker }) => marker.toString(16))
const has = (bytes: Uint8Array, text: string) => Buffer.from(bytes).includes(text)

describe('an image file', () => {
  it.each([
    ['JPEG', JPEG], ['progressive JPEG', PROGRESSIVE], ['PNG', PNG],
    ['WebP', WEBP], ['lossless WebP', WEBP_LOSSLESS], ['WebP with notes', WEBP_NOTES],
  ])('tells its size before it is opened: %s', (_, bytes) => {
    expect(sizeOf(bytes)).toEqual({ width: 24, height: 16 })
  })

  it('of 200 megapixels tells so from a few bytes', () => {
    const huge = JPEG.slice()
    const frame = segments(huge).find(({ marker }) => marker === 0xc0)?.from ?? 0
    huge.set([0x2e, 0xe0, 0x41, 0x1a], frame + 5)
    expect(sizeOf(huge.slice(0, 400))).toEqual({ width: 16666, height: 12000 })
  })

  it('that is none, or ends too soon, tells nothing and does no harm', () => {
    const none = [new Uint8Array(), new Uint8Array([0xff, 0xd8]), new TextEncoder().encode('not a picture at all, only words')]
    for (const bytes of [...none, JPEG.slice(0, 100), PNG.slice(0, 20)]) expect(sizeOf(bytes)).toBeNull()
    for (let length = 0; length < JPEG.length; length += 1) {
      expect(withoutNotes(JPEG.slice(0, length)).byteLength).toBeLessThanOrEqual(length)
    }
  })
})

describe('a photo without its notes', () => {
  it('has no camera, place or comment, and the same picture', () => {
    expect([has(JPEG, 'Exif'), has(JPEG, 'cam'), has(JPEG, 'by me')]).toEqual([true, true, true])
    expect(markers(JPEG)).toEqual(['e0', 'e1', 'fe', 'db', 'db', 'c0', 'c4', 'c4', 'c4', 'c4'])
    const bare = new Uint8Array(withoutNotes(JPEG))
    expect(markers(bare)).toEqual(['e0', 'db', 'db', 'c0', 'c4', 'c4', 'c4', 'c4'])
    expect([has(bare, 'Exif'), has(bare, 'cam'), has(bare, 'by me')]).toEqual([false, false, false])
    const pixels = (bytes: Uint8Array) => bytes.slice(segments(bytes).find(({ marker }) => marker === 0xdb)?.from)
    expect(pixels(bare)).toEqual(pixels(JPEG))
  })

  it('is the very same file where there is nothing to leave out', () => {
    expect(new Uint8Array(withoutNotes(PROGRESSIVE))).toEqual(PROGRESSIVE)
    expect(new Uint8Array(withoutNotes(PNG))).toEqual(PNG)
  })

  it('keeps what colours need', () => {
    const profile = [0xff, 0xe2, 0x00, 0x05, 1, 2, 3]
    const adobe = [0xff, 0xee, 0x00, 0x04, 1, 2]
    const device = [0xff, 0xed, 0x00, 0x03, 9]
    const bytes = new Uint8Array([0xff, 0xd8, ...profile, ...device, ...adobe, 0xff, 0xda, 0, 2])
    expect([...new Uint8Array(withoutNotes(bytes))]).toEqual([0xff, 0xd8, ...profile, ...adobe, 0xff, 0xda, 0, 2])
  })
})

describe('shrinking', () => {
  it.each([
    [[4032, 3024], [2048, 1536]],
    [[3024, 4032], [1536, 2048]],
    [[2048, 100], [2048, 100]],
    [[640, 480], [640, 480]],
    [[60000, 1], [2048, 1]],
    [[1, 1], [1, 1]],
  ])('makes %j into %j', ([width = 0, height = 0], [w, h]) => {
    expect(fit({ width, height }, LONGEST)).toEqual({ width: w, height: h })
  })

  async function tried(weight: (attempt: Attempt) => number) {
    const asked: Attempt[] = []
    const found = await lightest(async (attempt) => {
      asked.push(attempt)
      return { size: weight(attempt) }
    })
    return { found, asked }
  }

  it('takes the best quality that is light enough', async () => {
    expect(await tried(() => HEAVIEST)).toEqual({ found: { size: HEAVIEST }, asked: ATTEMPTS.slice(0, 1) })
    const heavy = await tried(({ longest, quality }) => longest * longest * quality)
    expect(heavy.found?.size).toBeLessThanOrEqual(HEAVIEST)
    expect(heavy.asked).toEqual(ATTEMPTS.slice(0, heavy.asked.length))
    expect(heavy.asked.length).toBeGreaterThan(1)
  })

  it('gives up where nothing is light enough', async () => {
    expect(await tried(() => HEAVIEST + 1)).toEqual({ found: null, asked: ATTEMPTS })
  })
})
