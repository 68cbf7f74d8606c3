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
    expect(going.lines[0]).not.toMatch(/nothing of it is lost/)
    expect(outWords(own, { ines: 0 }, nameOf, true).lines[1]).toBe('Every record that waited here has been handed over.')
  })

  it('counts what does not go with the hand-over, and says that a file is its way out', () => {
    const rest = (photos: number, refused: number, gone: boolean) =>
      outWords(own, {}, nameOf, gone, { photos, refused }).lines.slice(1, -1)
    const file = (what: string) =>
      `Still only on this phone, and not handed over: ${what}. The way out is a file: save it here and give it to a lead.`
    expect(rest(2, 0, true)).toEqual(['Every record that waited here has been handed over.', file('2 photos')])
    expect(rest(1, 3, true)[1]).toBe(file('1 photo and 3 records that the server would not take'))
    expect(rest(0, 1, false)).toEqual([
      'No record waits on it to be sent.',
      expect.stringMatching(/^Still only on this phone: 1 record that the server would not take\. If it is not paired anew, .*a file/),
    ])
    expect([rest(0, 0, true), rest(0, 0, false)].map((lines) => lines.length)).toEqual([1, 1])
  })
})
