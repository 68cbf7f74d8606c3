import { describe, expect, it } from 'vitest'
import { cut, piece, small } from './examples.ts'
import { none } from './tally.ts'
import { plant, type Member } from './tree.ts'
import { median, mothersIn, yieldOf, yieldOfAll } from './yields.ts'

const of = (id: string) => yieldOf(small().members.get(id) as Member)

describe('what a mother has given', () => {
  it('is counted from her own cuts, and over all generations apart', () => {
    expect(of('colony')).toEqual({
      mothers: 1, cuts: 2, generations: 2, least: 2, most: 2, mean: 2, gaps: [30],
      glued: { ...none(), pieces: 4, healing: 2, ready: 1, lost: 1, readied: 1 },
      led: { ...none(), pieces: 6, healing: 3, ready: 1, lost: 1, gone: 1, readied: 2 },
    })
    expect(of('a')).toMatchObject({ cuts: 1, least: 2, most: 2, mean: 2, gaps: [], generations: 1 })
  })

  it('is nothing where she was never cut', () => {
    expect(of('b')).toEqual({
      mothers: 1, cuts: 0, generations: 0, least: null, most: null, mean: null, gaps: [], glued: none(), led: none(),
    })
  })

  it('counts a cut without pieces as one that gave none, and two cuts on a day as one occasion', () => {
    const cuts = [cut('1', 'm', 5), cut('2', 'm', 5), cut('3', 'm', 25), cut('4', 'm', 30)]
    const families = plant([piece('m'), piece('x', { cut: '1' }), piece('y', { cut: '1' })], cuts)
    expect(yieldOf(families.members.get('m') as Member)).toMatchObject({ cuts: 4, least: 0, most: 2, mean: 0.5, gaps: [5, 20] })
  })
})

describe('what a line has given', () => {
  it('adds its mothers up; days lie between the cuts of each mother, not of the line', () => {
    const families = small()
    expect(yieldOfAll(families, families.roots)).toEqual({
      mothers: 2, cuts: 3, generations: 2, least: 2, most: 2, mean: 2, gaps: [30],
      glued: { ...none(), pieces: 6, healing: 3, ready: 1, lost: 1, gone: 1, readied: 2 },
      led: { ...none(), pieces: 6, healing: 3, ready: 1, lost: 1, gone: 1, readied: 2 },
    })
    expect(mothersIn(families, 'colony').map(({ id }) => id)).toEqual(['colony', 'a'])
  })
})

it('the middle of days is the mean of two where their number is even', () => {
  expect([[], [3], [3, 8], [1, 2, 90]].map(median)).toEqual([null, 3, 5.5, 2])
})
