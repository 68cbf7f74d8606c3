import { describe, expect, it } from 'vitest'
import { CHUNK, Pace } from './pace.ts'

const LEAST = 16 * 1024
const many = (times: number, work: () => void) => Array.from({ length: times }, work)

describe('the pace of sending photos', () => {
  it('is small after a break, and doubles with every eight chunks that went', () => {
    const pace = new Pace()
    expect(pace.chunk).toBe(CHUNK)
    pace.badly()
    expect(pace.chunk).toBe(LEAST)
    many(8, () => pace.well())
    expect(pace.chunk).toBe(2 * LEAST)
    many(80, () => pace.well())
    expect(pace.chunk).toBe(CHUNK)
  })

  it('begins small where a photo broke off before the app was opened, and only then', () => {
    const [fresh, going] = [new Pace(), new Pace()]
    fresh.resume()
    expect(fresh.chunk).toBe(LEAST)
    going.well()
    going.resume()
    expect(going.chunk).toBe(CHUNK)
  })
})
