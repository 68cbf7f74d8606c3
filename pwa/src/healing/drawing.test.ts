import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { apart, betweenPath, scale, stepPath, ticks } from './drawing.ts'

const to = scale({ left: 0, top: 0, width: 100, height: 100 }, 100)

describe('step curves', () => {
  it('holds each level until the next day, and the last to the end', () => {
    const levels = [{ day: 20, share: 0.25 }, { day: 60, share: 0.5 }]
    expect(stepPath(levels, 100, to)).toBe('M0 100L20 100L20 75L60 75L60 50L100 50')
    expect(stepPath(levels, 60, to)).toBe('M0 100L20 100L20 75L60 75L60 50')
    expect(stepPath([], 100, to)).toBe('M0 100L100 100')
  })

  it('shades between the two edges of what is known', () => {
    const low = [{ day: 50, share: 0.5 }]
    const high = [{ day: 40, share: 0.5 }]
    expect(betweenPath(low, high, 50, to)).toBe('M0 100L40 100L40 50L50 50L50 50L50 100L0 100Z')
  })

  it('a few round days that reach the end', () => {
    expect([1, 6, 42, 131, 365].map(ticks)).toEqual([
      [0, 1], [0, 1, 2, 3, 4, 5, 6], [0, 7, 14, 21, 28, 35, 42],
      [0, 25, 50, 75, 100, 125, 150], [0, 100, 200, 300, 400],
    ])
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 20_000 }), (days) => {
        const found = ticks(days)
        expect(found.length).toBeLessThanOrEqual(8)
        expect(found.at(-1)).toBeGreaterThanOrEqual(days)
      }),
    )
  })

  it('labels keep their order and their distance', () => {
    expect(apart([10, 12], 20, 200)).toEqual([10, 30])
    expect(apart([195, 190], 20, 200)).toEqual([200, 180])
  })
})
