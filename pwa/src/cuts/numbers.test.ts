import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { amountFor, carries, isByHand, readDigits, readWhole } from './numbers.ts'

describe('numbers at the saw', () => {
  it('keeps the digits that were typed', () => {
    expect(['12,5', ' 0.30 ', '7', '-1'].map(readDigits)).toEqual(['12.5', '0.30', '7', '-1'])
    expect(['', '1.2.3', '1e3', '.5', '12 L', '1234567890'].map(readDigits)).toEqual(Array(6).fill(null))
  })

  it('a whole number, nothing, and a wrong one are three things', () => {
    expect(['5', '', '0', '2001', '2.5', 'x'].map((text) => readWhole(text, 1, 2000))).toEqual([
      5, undefined, null, null, null, null,
    ])
  })

  it('dose times litres, against exact arithmetic in millionths', () => {
    const thousandths = fc.integer({ min: 0, max: 999_999 })
    fc.assert(
      fc.property(thousandths, thousandths, (dose, litres) => {
        const exact = BigInt(dose) * BigInt(litres)
        const text = (n: number) => (n / 1000).toFixed(3)
        expect(BigInt(Math.round(amountFor(text(dose), text(litres)) * 1e6))).toBe(exact)
      }),
    )
  })

  it('both ways of counting cuts', () => {
    const mother = { base: null, plus: 2 }
    const one = { base: null, plus: 3 }
    expect(carries(mother, 'sale', { held_back_keeps: true })).toEqual(one)
    expect(carries(mother, 'hold', { held_back_keeps: true })).toEqual(mother)
    expect(carries(mother, 'hold', { held_back_keeps: false })).toEqual(one)
  })

  it('an unknown method gets the saw’s cautions', () => {
    expect(isByHand('method.band-saw', 'Band saw')).toBe(false)
    expect(isByHand('method.x', 'Wet disc')).toBe(false)
    expect(isByHand('method.x', 'Hand-held rotary tool')).toBe(false)
    expect(isByHand('method.bone-cutter', 'Bone cutter')).toBe(true)
  })
})
