import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords, setLocale } from '../words/index.ts'
import { tableRows } from './cells.ts'
import { FULL } from './examples.ts'
import type { Group } from './report.ts'

beforeAll(moreWords)

beforeAll(() => setLocale('en-GB'))

const little: Group = {
  ...FULL, show: 'range', estimate: { after: 20, by: 21 }, median: { low: 98, high: null }, middle: null, loss: null,
  observed: { first: 21, last: 21 }, gap_days: 1, missing: 0,
}
const nothing: Group = { ...little, estimate: null, median: null, observed: null, gap_days: null }

describe('the table of numbers', () => {
  it('writes what is known and a dash where nothing is', () => {
    const rows = tableRows([FULL, little, nothing])
    expect(Object.fromEntries(rows.map((row) => [row.word, row.cells.map(({ text }) => text)]))).toEqual({
      'Half ready by': ['day 109 to 112', 'day 21', '–'],
      '95 % range': ['day 98 to 131', 'at least day 98', '–'],
      'Middle half': ['day 88 to 139', '–', '–'],
      'First seen ready': ['day 40 to 160', 'day 21', '–'],
      'Share lost by day 90 (95\u00a0%)': ['8 to 9\u00a0% (4 to 16\u00a0%)', '–', '–'],
      'without the missing': ['5\u00a0% (2 to 12\u00a0%)', '–', '–'],
      Pieces: ['1,096', '1,096', '1,096'],
      Cuts: ['12', '12', '12'],
      Ready: ['900', '900', '900'],
      'of them lost later': ['4', '4', '4'],
      Lost: ['80', '80', '80'],
      'of them missing': ['3', '0', '0'],
      Healing: ['100', '100', '100'],
      Withdrawn: ['10', '10', '10'],
      'Never checked': ['6', '6', '6'],
      'Left out': ['2', '2', '2'],
      'Between looks': ['8 days', '1 day', '–'],
    })
  })

  it('has no row that no group has an answer to', () => {
    expect(tableRows([nothing]).map(({ word }) => word).slice(0, 2)).toEqual(['Pieces', 'Cuts'])
    const share = FULL.loss as NonNullable<Group['loss']>
    const later = { ...FULL, loss: { ...share, horizon: 180, missing_withdrawn: null } }
    const of = (groups: readonly Group[]) => tableRows(groups).slice(4, 6).map(({ word, cells }) => [word, ...cells.map(({ text }) => text)])
    expect(of([later])).toEqual([['Share lost by day 180 (95\u00a0%)', '8 to 9\u00a0% (4 to 16\u00a0%)'], ['Pieces', '1,096']])
    // Never so by this server: each by a day of its own is said in its cell.
    expect(of([later, FULL])[0]).toEqual(['Share lost (95\u00a0%)', '8 to 9\u00a0% (4 to 16\u00a0%) by day 180', '8 to 9\u00a0% (4 to 16\u00a0%) by day 90'])
  })

  it('leads from each count to its pieces, and from none to none', () => {
    const leads = (group: Group) => tableRows([group]).flatMap(({ cells }) => cells.map(({ of }) => of)).filter((of) => of !== null)
    expect(leads(FULL)).toEqual([
      'pieces', 'ready', 'lost-after-ready', 'lost', 'missing', 'healing', 'withdrawn', 'never-checked', 'excluded',
    ])
    expect(leads(little)).not.toContain('missing')
  })

  it('says tanks where whole tanks are counted', () => {
    expect(tableRows([{ ...FULL, unit: 'tank' }]).map(({ word }) => word)).toContain('Tanks')
  })
})
