import { expect, it } from 'vitest'
import type { Picture } from '../photos/pictures.ts'
import { nearest, ofItself } from './mother-photos.ts'

const taken = (record: string, date: string, of: Picture['of'] = 'piece'): Picture => ({
  record, sha256: record, at: Date.parse(date), date, day: null, of, tray: null,
})
const list = [taken('arrived', '2026-01-01'), taken('tray', '2026-02-01', 'tray'), taken('cut', '2026-03-03'), taken('late', '2026-03-07')]

it('the mother as she looked nearest to the day of the cut, herself and no tray', () => {
  const own = ofItself(list)
  expect(own.map(({ record }) => record)).toEqual(['arrived', 'cut', 'late'])
  const dates = ['2025-01-01', '2026-02-02', '2026-03-05', '2026-03-06', null]
  expect(dates.map((date) => nearest(own, date)?.record)).toEqual(['arrived', 'cut', 'cut', 'late', 'late'])
  expect(nearest([], '2026-03-05')).toBeNull()
})
