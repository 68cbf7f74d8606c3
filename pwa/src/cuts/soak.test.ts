import { describe, expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import { begun, current, soaked } from './soak.ts'

const base = (soak_min: number | null): Item => ({ id: 'base.hex', list: 'base', fields: { soak_min }, retired: false, tank: null, at: 0 })
const soak = { base: 'base.hex', since: 1_000_000 }
const after = (minutes: number) => 1_000_000 + minutes * 60_000

describe('a soak', () => {
  it('counts whole minutes towards what its base kind asks', () => {
    expect(soaked(soak, base(10), after(9.99))).toEqual({ minutes: 9, wanted: 10, left: 1, enough: false })
    expect(soaked(soak, base(10), after(10))).toEqual({ minutes: 10, wanted: 10, left: 0, enough: true })
    expect(soaked(soak, base(10), after(600))).toEqual({ minutes: 600, wanted: 10, left: 0, enough: true })
  })

  it('is never said to be enough where nobody has said how long', () => {
    expect(soaked(soak, base(null), after(30))).toEqual({ minutes: 30, wanted: null, left: 0, enough: false })
    expect(soaked(soak, undefined, after(30)).wanted).toBe(null)
  })

  it('does not run backwards with a clock that was set back', () => {
    expect(soaked(soak, base(10), after(-5)).minutes).toBe(0)
  })

  it('starts anew when the kind is put in again, and leaves other kinds alone', () => {
    const two = begun(begun([], 'base.hex', 1), 'base.plug', 2)
    expect(begun(two, 'base.hex', 3)).toEqual([{ base: 'base.plug', since: 2 }, { base: 'base.hex', since: 3 }])
  })

  it('is forgotten after three days', () => {
    expect(current([soak], after(3 * 24 * 60 - 1))).toEqual([soak])
    expect(current([soak], after(3 * 24 * 60))).toEqual([])
  })
})
