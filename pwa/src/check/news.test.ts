import { beforeAll, expect, it } from 'vitest'
import { moreWords, setLocale } from '../words/index.ts'
import { newsOf } from './news.ts'

beforeAll(async () => {
  await moreWords()
  setLocale('en-GB')
})

const loss = { record: 'l', after: null, by: '2026-05-01', how: 'missing', sign: null, cause: null } as const
const exit = { record: 'x', day: '2026-06-02', how: 'given', to: null } as const
const open = { state: { loss: null, exit: null } }

it('says what closed the piece since the check was begun', () => {
  expect(newsOf(open, { state: { loss, exit: null } })).toContain('recorded lost on 1 May 2026')
  expect(newsOf(open, { state: { loss, exit } })).toContain('left on 2 Jun 2026')
  expect(newsOf({ state: { loss, exit: null } }, { state: { loss, exit } })).toContain('left on 2 Jun 2026')
  expect(newsOf(open, null)).toContain('not among the records on this phone')
})

it('says nothing of what was known when it was begun, nor before the piece is read', () => {
  expect(newsOf(open, open)).toBeNull()
  expect(newsOf({ state: { loss, exit: null } }, { state: { loss, exit: null } })).toBeNull()
  expect(newsOf(open, undefined)).toBeNull()
})
