import { beforeEach, expect, it } from 'vitest'
import en from '../words/en/index.ts'
import { setWords } from '../words/index.ts'
import { laterWords } from './later-words.ts'

beforeEach(() => setWords(en, 'en-GB'))

const LEAVING = true
const row = { weeks: 4, open: 20, unknown: 0, low: 41, high: 52, expected: { low: 46.2, high: 46.4 } }

it('says a range, and a number only where one is known', () => {
  expect(laterWords(row, LEAVING)).toBe('likely 41 to 52, about 46 expected')
  expect(laterWords({ ...row, expected: { low: 45.1, high: 47.8 } }, LEAVING)).toBe('likely 41 to 52, 45 to 48 expected')
  expect(laterWords({ ...row, low: 41, high: 41, expected: { low: 41, high: 41 } }, LEAVING)).toBe('likely 41')
  expect(laterWords({ ...row, unknown: 20 }, LEAVING)).toBe('not known')
  expect(laterWords({ ...row, unknown: 3 }, LEAVING)).toBe('likely 41 to 52; not known for 3 of 20 places, counted as taken')
})

it('says what a sure number rests on, where it rests on anything', () => {
  const sure = { ...row, open: 0, low: 8, high: 8 }
  expect([laterWords(sure, LEAVING), laterWords(sure, !LEAVING)]).toEqual(['8, if what is ready for sale leaves', '8'])
})
