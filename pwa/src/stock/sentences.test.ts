import { beforeEach, expect, it } from 'vitest'
import en from '../words/en/index.ts'
import { setWords } from '../words/index.ts'
import { answersText } from './sentences.ts'

beforeEach(() => setWords(en, 'en-GB'))

it('what was seen is said in the words of the growth form that was asked about', () => {
  const body = { mouth: 'open', encrustation: 4, recession: 'none' } as const
  expect(answersText(body)).toBe('mouth open, all covered, no recession')
  expect(answersText(body, 'branching')).toBe('mouth open, cut face all closed, no recession')
})
