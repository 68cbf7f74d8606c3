import { beforeEach, expect, it } from 'vitest'
import en from '../words/en/index.ts'
import { setWords, t } from '../words/index.ts'
import { readDip } from './dip.ts'

beforeEach(() => setWords(en, 'en-GB'))

it('a dip has a name, and a dose with its unit or neither: nothing that was typed is dropped', () => {
  expect(readDip(' iodine ', '', '')).toEqual({ what: 'dip', name: 'iodine' })
  expect(readDip('iodine', '2,5', ' mL/L ')).toEqual({ what: 'dip', name: 'iodine', amount: '2.5', unit: 'mL/L' })
  expect(readDip(' ', '2', 'mL/L')).toBe(t('piece.dip.needName'))
  for (const [amount, unit] of [['2', ''], ['some', 'mL/L'], ['', 'for 5 min']] as const) {
    expect(readDip('iodine', amount, unit)).toBe(t('piece.dip.amountBad'))
  }
})
