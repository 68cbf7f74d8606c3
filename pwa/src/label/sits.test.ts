import { describe, expect, it } from 'vitest'
import type { FieldValue } from '../records/fields.ts'
import { drawSits, roomFor, SITS, sitsOf, symbolFor } from './sits.ts'

const base = (fields: Record<string, FieldValue>) => ({ id: 'base.x', list: 'base', fields, retired: false, tank: null, at: 0 }) as const

describe('where a label sits', () => {
  it('is what the list says, null where it says nothing that is known', () => {
    expect(['rim', 'tray', 'top', null].map((label_sits) => sitsOf(base({ label_sits })))).toEqual(['rim', 'tray', null, null])
    expect(sitsOf(undefined)).toBeNull()
  })

  it('each has drawings of its own, within their frame', () => {
    const seen = SITS.map((sits) => drawSits(sits, 'hexagon'))
    expect(new Set(seen.map(({ side }) => JSON.stringify(side))).size).toBe(6)
    expect(new Set(seen.map(({ top }) => JSON.stringify(top))).size).toBe(6)
    for (const { side, top } of seen) expect(side.label !== '' && (top.label !== '' || top.hidden !== '')).toBe(true)
    expect(drawSits('rim', 'disc').top.lines).not.toBe(drawSits('rim', 'block').top.lines)
  })

  it('has room for a square in the circle on top or below, and for the height at the side', () => {
    const fields = { across_mm: 40, height_mm: 10 }
    // 40 / sqrt 2 = 28.28; the diagonal of a square of 28 is 39.6, of 29 it is 41.0.
    expect(SITS.map((sits) => roomFor(sits, fields))).toEqual([null, 10, 28, null, 28, null])
    expect([roomFor('rim', {}), roomFor('underside', {}), roomFor(null, fields)]).toEqual([null, null, null])
  })

  it('what its width allows is as measured', () => {
    expect([7, 8, 9, 10, 12, 14, 15, 20, 60].map(symbolFor)).toEqual([
      { carries: 'none', near: 0, far: 0 },
      { carries: 'bare', near: 9, far: 13 },
      { carries: 'bare', near: 9, far: 13 },
      { carries: 'whole', near: 10, far: 15 },
      { carries: 'whole', near: 10, far: 16 },
      { carries: 'whole', near: 10, far: 16 },
      { carries: 'whole', near: 13, far: 20 },
      { carries: 'whole', near: 18, far: 27 },
      { carries: 'whole', near: 18, far: 27 },
    ])
  })
})
