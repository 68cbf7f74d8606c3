import fc from 'fast-check'
import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords } from '../words/index.ts'
import { correction, correctionOf, isPrinters, readPrinter, typedFrom, type Typed } from './own-printer.ts'

const TYPED: Typed = {
  name: 'Office, upper tray', dpi: '600', page: 'A4', cross_x: '31.2', cross_y: '29,1', ruler_x: '150.6', ruler_y: '149.7',
}

beforeAll(moreWords)

describe('a printer and tray', () => {
  it('is kept as it was measured', () => {
    const fields = {
      name: 'Office, upper tray', dpi: 600, page: 'A4', cross_x_hmm: 3120, cross_y_hmm: 2910, ruler_x_hmm: 15060,
      ruler_y_hmm: 14970,
    }
    expect(readPrinter(TYPED)).toEqual({ fields })
    expect(readPrinter(typedFrom(fields))).toEqual({ fields })
  })

  it('needs no measuring, and says so by emptied fields', () => {
    const read = readPrinter({ ...TYPED, cross_x: '', cross_y: '', ruler_x: '', ruler_y: '' })
    expect(read).toEqual({
      fields: {
        name: 'Office, upper tray', dpi: 600, page: null, cross_x_hmm: null, cross_y_hmm: null, ruler_x_hmm: null,
        ruler_y_hmm: null,
      },
    })
    expect('fields' in read && correctionOf(read.fields)).toBeNull()
  })

  it.each([
    [{ name: '' }, 'Name the printer'],
    [{ dpi: '72' }, 'from 150 to 2,400'],
    [{ cross_y: '' }, 'all four'],
    [{ ruler_x: '0' }, 'all four'],
    [{ cross_x: '36' }, 'more than a printer is off'],
    [{ ruler_y: '146' }, 'more than a printer is off'],
  ])('refuses what cannot be: %o', (change, words) => {
    const read = readPrinter({ ...TYPED, ...change })
    expect('problem' in read && read.problem).toContain(words)
    expect('problem' in read && read.problem).toContain('Nothing was saved')
  })

  it('undoes what the printer does, whatever that is', () => {
    const shift = fc.integer({ min: -400, max: 400 })
    const stretch = fc.integer({ min: 14750, max: 15250 })
    fc.assert(
      fc.property(shift, stretch, fc.integer({ min: 0, max: 300 }), (hundredths, ruler, at) => {
        const k = ruler / 15000
        const printed = (mm: number) => hundredths / 100 + k * mm
        const { dx, sx } = correction(printed(30) * 100, 3000, ruler, 15000)
        expect(printed(dx + sx * at)).toBeCloseTo(at, 6)
      }),
    )
  })

  it('is off by 5 mm and 2 % at most', () => {
    expect(isPrinters(correction(3500, 2500, 15000, 15000))).toBe(true)
    expect(isPrinters(correction(3501, 3000, 15000, 15000))).toBe(false)
    expect(isPrinters(correction(3000, 3000, 15000, 15310))).toBe(false)
  })
})
