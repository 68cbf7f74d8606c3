import { beforeAll, describe, expect, it } from 'vitest'
import fixtures from '../../../fixtures/sheets/sheets.json'
import { moreWords } from '../words/index.ts'
import { layoutOf } from './layout.ts'
import { blank, copyOf, drawn, problemOf, readHundredths, readSheet, typedFrom, type Fields, type Typed } from './own-sheet.ts'

const FILM: Typed = {
  ...blank(), name: ' Our film ', label_width: '60', label_height: '40,5', columns: '3', rows: '6',
  pitch_x: '62', pitch_y: '42.25', left: '10', top: '15',
}

beforeAll(moreWords)

describe('a farm’s own sheet', () => {
  it('is kept in whole hundredths of a millimetre', () => {
    expect(readSheet(FILM)).toEqual({
      fields: {
        name: 'Our film', page: 'A4', label_width_hmm: 6000, label_height_hmm: 4050, columns: 3, rows: 6,
        pitch_x_hmm: 6200, pitch_y_hmm: 4225, left_hmm: 1000, top_hmm: 1500,
      },
    })
  })

  it('fits for the phone what fits for the server', () => {
    const wrong = fixtures.cases.filter(({ fields, fits }) => (problemOf(fields as Fields) === null) !== fits)
    expect(wrong).toEqual([])
    expect(fixtures.cases.length).toBeGreaterThan(100)
    expect(new Set(fixtures.cases.map(({ fits }) => fits)).size).toBe(2)
  })

  it.each([
    [{ name: ' ' }, 'Give the sheet a name. Nothing was saved; what you typed is still here.'],
    [{ left: '-1' }, 'From the left edge to the first label: write millimetres, such as 7.21. Nothing was saved; what you typed is still here.'],
    [{ columns: '2.5' }, 'Columns: write a whole number. Nothing was saved; what you typed is still here.'],
    [{ columns: '0' }, 'A page has one column and one row of labels at least. Nothing was saved; what you typed is still here.'],
    [{ columns: '4' }, 'The last label of a row ends 46 mm beyond the right edge of a page 210 mm wide. Measure the margin, the distance and the label again. Nothing was saved; what you typed is still here.'],
    [{ rows: '8' }, 'The lowest label ends 54.25 mm beyond the lower edge of a page 297 mm high. Measure the margin, the distance and the label again. Nothing was saved; what you typed is still here.'],
    [{ pitch_x: '50' }, 'Labels 60 mm wide that repeat every 50 mm would overlap. The distance is measured from one label’s edge to the same edge of the next. Nothing was saved; what you typed is still here.'],
    [{ label_width: '7', pitch_x: '8' }, 'A label needs 8 mm each way at least: a smaller symbol cannot be read. Nothing was saved; what you typed is still here.'],
  ])('says what is wrong: %o', (change, problem) => {
    expect(readSheet({ ...FILM, ...change })).toEqual({ problem })
  })

  it('asks only for what a page of its kind has', () => {
    const roll = { ...blank(), name: 'Roll', page: 'roll' as const, label_width: '50', label_height: '25' }
    expect(readSheet(roll)).toEqual({ fields: { name: 'Roll', page: 'roll', label_width_hmm: 5000, label_height_hmm: 2500 } })
    const round = { ...blank(), name: 'Dots', page: 'round-roll' as const, label_width: '30' }
    expect(readSheet(round)).toEqual({ fields: { name: 'Dots', page: 'round-roll', label_width_hmm: 3000 } })
    expect(readSheet({ ...FILM, page: 'own' })).toMatchObject({ problem: expect.stringContaining('Page width') as string })
  })

  it('is typed again as it was kept', () => {
    const read = readSheet(FILM)
    if (!('fields' in read)) throw new Error(read.problem)
    expect(readSheet(typedFrom(read.fields))).toEqual(read)
  })

  it('can be begun from one there is', () => {
    const shipped = {
      id: 'a4-63.5x33.9', page: 'A4', columns: 3, rows: 8, label_width: 63.5, label_height: 33.9, pitch_x: 66.04,
      pitch_y: 33.9, left: 7.21, top: 12.9, page_width: 210, page_height: 297,
    }
    const read = readSheet({ ...copyOf(shipped), name: 'Mine' })
    if (!('fields' in read)) throw new Error(read.problem)
    const { slots } = layoutOf(drawn(read.fields, 'sheet.mine'))
    expect([slots.length, slots[23]?.x, slots[23]?.y]).toEqual([24, 7.21 + 2 * 66.04, 12.9 + 7 * 33.9])
  })

  it('reads millimetres with a point or a comma', () => {
    expect(['7', '7.2', '7,21', ' 7 ', '7.213', '-7', '', 'x', '12345'].map(readHundredths)).toEqual([
      700, 720, 721, 700, null, null, null, null, null,
    ])
  })
})
