import { beforeAll, describe, expect, it } from 'vitest'
import { setZone } from '../words/format.ts'
import en from '../words/en/index.ts'
import { setWords } from '../words/index.ts'
import { cut, piece, small } from './examples.ts'
import { aboutMember, belowText, countedText, cutAbout, fatesText, ledText, nameAndDay } from './texts.ts'
import { plant, type Branch, type Member } from './tree.ts'
import type { PieceView } from '../sync/views.ts'
import { COLUMNS, yieldCells, yieldText } from './yield-texts.ts'
import { yieldOf } from './yields.ts'

beforeAll(() => {
  setWords(en, 'en-GB')
  setZone('UTC')
})

const of = (id: string) => small().members.get(id) as Member<PieceView>

/** A mother cut on these days, into so many pieces each time. */
function mother(...cuts: readonly (readonly [day: number, pieces: number])[]): Member {
  const pieces = cuts.flatMap(([day, count], at) => Array.from({ length: count }, (_, n) => piece(`${at}.${n}`, { cut: `${at}`, day })))
  return plant([piece('m'), ...pieces], cuts.map(([day], at) => cut(`${at}`, 'm', day))).members.get('m') as Member
}
const told = (...cuts: readonly (readonly [number, number])[]) => yieldText('Amber', yieldOf(mother(...cuts)))

describe('a yield in words', () => {
  it('is honest where there are few cuts', () => {
    expect(told()).toBe('Not cut yet.')
    expect(told([0, 8])).toBe('Amber: 1 cut so far, 8 pieces. One cut says little about the next.')
    expect(told([0, 8], [90, 3])).toBe(
      'Amber: 2 cuts so far, 11 pieces: 5.5 a cut, from 3 to 8. That is too few to expect the same of the next. ' +
        'Between the cuts of a mother lay 90 days.',
    )
  })

  it('says what lay between where there are several', () => {
    expect(told([0, 1], [90, 1], [190, 1], [300, 1])).toBe(
      'Amber: 4 cuts, 4 pieces: 1 a cut, from 1 to 1. Between the cuts of a mother lay 100 days in the median, from 90 to 110.',
    )
    expect(told([0, 1], [30, 1], [60, 1], [90, 1])).toContain('lay 30 days each time.')
  })

  it('is a row of as many cells as the table has columns', () => {
    expect(yieldCells(yieldOf(of('colony')))).toEqual(['2', '4', '2', '2', '1', '1', '0', '1', '30', '6'])
    expect(yieldCells(yieldOf(of('b')))).toEqual(['0', '0', '–', '0', '0', '0', '0', '0', '–', '0'])
    expect(yieldCells(yieldOf(of('b')))).toHaveLength(COLUMNS.length)
  })
})

describe('a family in words', () => {
  it('leaves out what there is none of', () => {
    expect(fatesText(of('a').below)).toBe('1 healing, 1 gone')
    expect(belowText(of('a'))).toBe('1 cut, 2 pieces in all')
    expect(belowText(mother([0, 0]))).toBe('1 cut, nothing glued yet')
    expect(cutAbout(small().branches.get('one') as Branch)).toBe('2 pieces, 4 with those cut from them: 2 healing, 1 ready, 1 gone')
    expect(cutAbout(small().branches.get('two') as Branch)).toBe('2 pieces: 1 healing, 1 lost')
    expect(ledText('4JQZ-KDMN', of('colony'), 3)).toBe(
      '4JQZ-KDMN has led to 6 pieces so far, over 2 generations, in 3 cuts. Of these, 3 healing, 1 ready, 1 lost, 1 gone.',
    )
  })

  it('says where a piece stands, or that it is gone', () => {
    const find = () => undefined
    expect(aboutMember(of('colony'), find)).toBe('cut number 0, colony')
    expect(aboutMember(of('aa'), find)).toBe('cut number 1, gone')
    const placed = { ...of('b'), piece: piece('b', { cut: 'one', state: { tray: 'A1', place: 'B7' } }) }
    expect(aboutMember(placed, find)).toBe('cut number 1, healing, A1, B7')
  })

  it('tells pieces without labels apart by their day', () => {
    expect([nameAndDay(of('colony')), nameAndDay(of('b'))]).toEqual(['4JQZ-KDMN', 'Amber, cut number 1 (glued 11 Jan 2026)'])
    expect(nameAndDay({ piece: null })).toBe('A mother not on this phone')
  })

  it('counts on from a colony’s own number, or says that nobody knows it', () => {
    const counted = (base: number | null, plus: number) => countedText(piece('x', { number: { base, plus } }))
    expect([counted(1, 2), counted(null, 2), counted(null, 0)]).toEqual([
      '3: 2 added to a colony that counts as 1', '?+2: 2 added to a colony whose number nobody knows', 'Not known',
    ])
  })
})
