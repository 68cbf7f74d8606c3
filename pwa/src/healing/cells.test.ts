import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords, setLocale } from '../words/index.ts'
import { tableRows } from './cells.ts'
import type { Group } from './report.ts'

beforeAll(moreWords)

beforeAll(() => setLocale('en-GB'))

const full: Group = {
  key: 'method.band-saw', name: 'Band saw', pieces: 1096, cuts: 12, ready: 900, lost: 80, healing: 100, withdrawn: 10,
  never_checked: 6, missing: 3, excluded: 2, show: 'full', sentence: '', observed: { first: 40, last: 160 },
  estimate: { after: 108, by: 112 }, median: { low: 98, high: 131 }, middle: [88, 139],
  loss: { lost: 8, of: 96, share: 8 / 96, low: 0.043, high: 0.156, horizon: 90 }, curve: [], band: null, stops_at: null, notes: [],
}
const little: Group = {
  ...full, show: 'range', estimate: { after: 20, by: 21 }, median: { low: 98, high: null }, middle: null, loss: null,
  observed: { first: 21, last: 21 },
}

describe('the table of numbers', () => {
  it('writes what is known and a dash where nothing is', () => {
    expect(Object.fromEntries(tableRows([full, little, { ...little, estimate: null, median: null, observed: null }]).map((row) => [row.word, row.cells]))).toEqual({
      'Half ready by': ['day 109 to 112', 'day 21', '–'],
      '95 % range of that': ['day 98 to 131', 'at least day 98', '–'],
      'Middle half': ['day 88 to 139', '–', '–'],
      'First seen ready': ['day 40 to 160', 'day 21', '–'],
      'Share lost': ['8% by day 90: 8 of 96, 95 % 4% to 16%', '–', '–'],
      Pieces: ['1,096', '1,096', '1,096'],
      Cuts: ['12', '12', '12'],
      Ready: ['900', '900', '900'],
      Lost: ['80', '80', '80'],
      'of them missing': ['3', '3', '3'],
      Healing: ['100', '100', '100'],
      Withdrawn: ['10', '10', '10'],
      'Never checked': ['6', '6', '6'],
      'Left out': ['2', '2', '2'],
    })
  })
})
