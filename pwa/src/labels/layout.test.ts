import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { isPrinted, layoutOf, sheetsFor } from './layout.ts'

const sheet = {
  id: 'a4-63.5x33.9', page: 'A4', columns: 3, rows: 8, label_width: 63.5, label_height: 33.9,
  pitch_x: 66.04, pitch_y: 33.9, left: 7.21, top: 12.9,
}

describe('a sheet drawn to scale', () => {
  it('places labels as the sheet says, counted row by row', () => {
    const { width, height, slots } = layoutOf(sheet)
    expect([width, height, slots.length]).toEqual([210, 297, 24])
    expect(slots[4]).toEqual({ position: 5, row: 2, column: 2, x: 7.21 + 66.04, y: 12.9 + 33.9 })
  })

  it('centres them where it does not, and keeps them on the page', () => {
    const { slots } = layoutOf({ id: 'x', page: 'A4', columns: 3, rows: 8, label_width: 63.5, label_height: 33.9 })
    expect(slots[0]?.x).toBeCloseTo((210 - 3 * 63.5) / 2)
    expect(slots.at(-1)?.y).toBeCloseTo(297 - (297 - 8 * 33.9) / 2 - 33.9)
  })

  it('a roll is one label a page', () => {
    const { width, height, slots } = layoutOf({ id: 'r', page: 'roll', columns: 1, rows: 1, label_width: 20, label_height: 12 })
    expect([width, height, slots.length, slots[0]?.x, slots[0]?.y]).toEqual([20, 12, 1, 0, 0])
  })

  it('counts sheets as peeling them one by one does', () => {
    const positions = fc.integer({ min: 1, max: 60 })
    fc.assert(
      fc.property(positions, fc.integer({ min: 1, max: 300 }), fc.nat(), (each, count, seed) => {
        const start = 1 + (seed % each)
        let [used, at] = [1, start]
        for (let label = 1; label < count; label += 1) {
          at += 1
          if (at > each) [used, at] = [used + 1, 1]
        }
        expect(sheetsFor(count, start, each)).toBe(used)
      }),
    )
  })

  it('marks what goes on the first sheet', () => {
    expect([1, 2, 3, 4, 5].map((position) => isPrinted(position, 3, 2))).toEqual([false, true, true, true, false])
  })
})
