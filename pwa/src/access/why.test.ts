import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords } from '../words/index.ts'
import { NotReadable } from '../sync/errors.ts'
import { Declined, NoAnswer, NotOurs } from './server.ts'
import { whyNot, whyNotHeld, whyNothing, whyNotIn, whyNotOwn } from './why.ts'

beforeAll(moreWords)

function declined(code: string, extra: Record<string, unknown> = {}): Declined {
  return new Declined({ type: `/problems/${code}`, title: 'Title.', status: 403, detail: 'Detail.', code, ...extra })
}

describe('why the server did not do it', () => {
  it('has words of its own for what it knows and the server’s for the rest', () => {
    const found = [declined('weak-pin'), declined('last-owner'), declined('not-allowed'), new NoAnswer(''), new NotOurs('')].map(whyNot)
    expect(found).toEqual([
      expect.stringMatching(/^This PIN is too easy/),
      expect.stringMatching(/last owner/),
      'Title. Detail.',
      expect.stringMatching(/did not answer/),
      expect.stringMatching(/not the Nubbin server/),
    ])
  })

  it('claims nothing about what became of it where there was no answer of ours', () => {
    for (const error of [new NoAnswer(''), new NotOurs('')]) {
      for (const said of [whyNot(error), whyNotOwn(error), whyNotIn(error), whyNotHeld(error, 'Inês').text]) {
        expect(said).toMatch(/it is not known whether/)
        expect(said).not.toMatch(/Nothing was changed/)
      }
      expect(whyNot(error)).toMatch(/Look again|look again/)
      // Nothing was to be done where something was only fetched.
      expect(whyNothing(error)).toMatch(/try again\.$/)
      expect(whyNothing(error)).not.toMatch(/not known whether|Nothing was changed/)
    }
    expect(whyNothing(declined('not-allowed'))).toBe('Title. Detail.')
  })

  it('says what is wrong with the phone itself in the phone’s own words', () => {
    const error = new NotReadable()
    const found = [whyNothing(error), whyNot(error), whyNotOwn(error), whyNotIn(error), whyNotHeld(error, 'Inês').text]
    expect(found).toEqual(Array(5).fill(error.message))
  })

  it('says of one’s own secret that the one until now was not the one typed', () => {
    const found = ['wrong-pin', 'wrong-password', 'weak-pin'].map((code) => whyNotOwn(declined(code)))
    expect(found).toEqual([
      expect.stringMatching(/until now is not what you typed/),
      expect.stringMatching(/until now is not what you typed/),
      expect.stringMatching(/too easy/),
    ])
  })

  it('tells a spent code from an old and an unknown one, each with what to do', () => {
    const found = ['link-used', 'link-expired', 'link-unknown'].map((code) => whyNotIn(declined(code)))
    expect(new Set(found).size).toBe(3)
    for (const said of found) expect(said).toMatch(/ask a lead for a new one/i)
    expect(whyNotIn(declined('bad-name'))).toMatch(/Title\. Detail\./)
    expect(whyNotIn(new NoAnswer(''))).toMatch(/did not answer/)
  })

  it('counts the tries left, says how long to wait, and whether there is a PIN at all', () => {
    expect(whyNotHeld(declined('wrong-pin', { tries_left: 1 }), 'Inês')).toEqual({
      text: 'That is not Inês’s PIN. 1 more try before a wait.', wait: 0, none: false,
    })
    expect(whyNotHeld(declined('wrong-pin', { tries_left: 4 }), 'Inês').text).toMatch(/4 more tries/)
    expect(whyNotHeld(declined('pin-locked', { wait_s: 60 }), 'Inês')).toEqual({
      text: 'Too many wrong PINs for Inês. Wait 60 seconds, then try again.', wait: 60_000, none: false,
    })
    expect(whyNotHeld(declined('no-pin'), 'Inês')).toMatchObject({ none: true, text: expect.stringMatching(/no PIN yet.*lead/) })
    expect(whyNotHeld(new NoAnswer(''), 'Inês')).toMatchObject({ wait: 0, none: false, text: expect.stringMatching(/did not answer/) })
  })
})
