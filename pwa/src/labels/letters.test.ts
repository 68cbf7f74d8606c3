import { expect, it } from 'vitest'
import { lettersLost } from './letters.ts'

it('letters that the printed face has no shape for are found, those that only lose an accent are not', () => {
  expect(lettersLost(['Tray A1, B7', 'Größe – 5 µm', 'Gro\u0308ße', 'Čajkovna', '№ Ⅳ ﬁlter 25 ℃', ''])).toEqual({ count: 0, letters: '' })
  expect(lettersLost(['水槽 3', 'Tank 1', 'Банка', 'a\u200bb', '🐠'])).toEqual({ count: 3, letters: '水槽Банк' })
})
