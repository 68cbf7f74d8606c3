import { beforeAll, describe, expect, it } from 'vitest'
import type { Paired } from '../sync/views.ts'
import { moreWords } from '../words/index.ts'
import { outWords, whoIsHere } from './who.ts'

beforeAll(moreWords)

const own: Paired = {
  epoch: 'e', staff: { id: 'ines', name: 'Inês', role: 'keeper' }, device: { id: 'd', name: 'Shelf', shared: false }, version: '1', demo: false,
}
const nameOf = (id: string) => (id === 'ines' ? 'Inês' : 'Tomás')

it('says who is at the phone', () => {
  const shared = { ...own.device, shared: true }
  expect([own, { ...own, device: shared }, { ...own, device: shared, staff: null }].map(whoIsHere)).toEqual([
    'Signed in as Inês on the device “Shelf”.', 'Inês holds the shared phone “Shelf”.', 'Nobody holds the shared phone “Shelf”.',
  ])
})

describe('a phone that the server answers no more', () => {
  it('whose sign-in has ended keeps what waits, by author, until they are back', () => {
    const { title, lines } = outWords(own, { ines: 12, tomas: 1, ana: 0 }, nameOf, false)
    expect(title).toBe('The phone “Shelf” is signed out')
    expect(lines.slice(1, -1)).toEqual([
      '12 records by Inês are kept on it. They go out once Inês is signed in here again; if the phone was signed out for good, they are kept for a lead to admit.',
      '1 record by Tomás is kept on it. It goes out once Tomás is signed in here again; if the phone was signed out for good, it is kept for a lead to admit.',
    ])
    expect(outWords(own, {}, nameOf, false).lines[1]).toMatch(/Everything recorded on it has been sent/)
  })

  it('signed out for good hands over what waits to a lead, and says when that is done', () => {
    const going = outWords(own, { ines: 2 }, nameOf, true)
    expect(going.title).toBe('This phone was signed out by the farm')
    expect(going.lines).toEqual([
      expect.stringMatching(/handed over for a lead to admit/), '2 records are still to be handed over.', expect.stringMatching(/pair it anew/),
    ])
    expect(outWords(own, { ines: 0 }, nameOf, true).lines[1]).toBe('Everything has been handed over.')
  })
})
