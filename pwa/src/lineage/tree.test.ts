import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { cut, piece, small } from './examples.ts'
import { none } from './tally.ts'
import { above, inReadingOrder, plant, type Families } from './tree.ts'

const ids = (families: Families, root: string) => inReadingOrder(families, root).map(({ id }) => id)
const oddOf = (families: Families) =>
  Object.fromEntries([...families.members.values()].flatMap(({ id, odd }) => (odd ? [[id, odd]] : [])))

describe('a family', () => {
  it('goes from the colony down, cut after cut, and counts what lies below', () => {
    const families = small()
    expect(families.roots).toEqual(['colony'])
    expect(ids(families, 'colony')).toEqual(['colony', 'a', 'aa', 'ab', 'b', 'c', 'd'])
    const colony = families.members.get('colony')
    expect(colony?.cuts.map(({ id, day, pieces }) => [id, day, pieces])).toEqual([
      ['one', '2026-01-11', ['a', 'b']],
      ['two', '2026-02-10', ['c', 'd']],
    ])
    expect(colony?.below).toEqual({ ...none(), pieces: 6, healing: 3, ready: 1, lost: 1, gone: 1, readied: 2 })
    expect(colony?.deep).toBe(2)
    expect(families.branches.get('one')?.own).toEqual({ ...none(), pieces: 2, healing: 1, ready: 1, readied: 1 })
    expect(families.branches.get('one')?.all.pieces).toBe(4)
  })

  it('keeps a mother that was cut and herself remains, and one that is a glued piece', () => {
    const a = small().members.get('a')
    expect([a?.piece?.state.stage, a?.mother, a?.generation, a?.below.pieces, a?.deep]).toEqual(['ready', 'colony', 1, 2, 1])
    expect(above(small(), 'ab').map(({ id }) => id)).toEqual(['colony', 'a'])
  })

  it('shows a cut of which nothing was glued yet, and none that was taken back and left nothing', () => {
    const cuts = [cut('fresh', 'm', 1), cut('wrong', 'm', 2, true), cut('named', 'm', 3, true)]
    const mother = plant([piece('m'), piece('x', { cut: 'named' })], cuts).members.get('m')
    expect(mother?.cuts.map(({ id, gone, own }) => [id, gone, own.pieces])).toEqual([['fresh', false, 0], ['named', true, 1]])
  })
})

describe('what is not known', () => {
  it('is said: a mother, a cut, a beginning', () => {
    const pieces = [piece('x', { cut: 'here' }), piece('y', { cut: 'not here' }), piece('z', { cut: 'not here' }), piece('only seen', { fate: 'u' })]
    const families = plant(pieces, [cut('here', 'absent')])
    expect(families.roots).toEqual(['only seen', 'absent', 'of:not here'])
    expect(oddOf(families)).toEqual({
      absent: { why: 'unheard-mother' },
      'of:not here': { why: 'unheard-cut' },
      'only seen': { why: 'no-beginning' },
    })
    expect(ids(families, 'of:not here')).toEqual(['of:not here', 'y', 'z'])
    expect(families.members.get('absent')?.piece).toBeNull()
    expect(families.branches.get('not here')?.day).toBeNull()
  })

  it('is a circle of mothers: it begins with the earliest, and is said', () => {
    const pieces = [piece('late', { cut: '1', day: 9 }), piece('early', { cut: '2', day: 3 }), piece('child', { cut: '1', day: 5 })]
    const families = plant(pieces, [cut('1', 'early'), cut('2', 'late')])
    expect(families.roots).toEqual(['early'])
    expect(ids(families, 'early')).toEqual(['early', 'child', 'late'])
    expect(oddOf(families)).toEqual({ early: { why: 'circle', mother: 'late' } })
    expect(families.members.get('late')?.cuts[0]?.pieces).toEqual([])
  })

  it('is a mother of herself', () => {
    const families = plant([piece('self', { cut: '1' }), piece('child', { cut: '1' })], [cut('1', 'self')])
    expect(oddOf(families)).toEqual({ self: { why: 'circle', mother: 'self' } })
    expect(ids(families, 'self')).toEqual(['self', 'child'])
  })
})

describe('any tangle of records', () => {
  const name = fc.integer({ min: 0, max: 9 }).map((number) => `p${number}`)
  const cutName = fc.integer({ min: 0, max: 9 }).map((number) => `c${number}`)
  const tangle = fc.record({
    pieces: fc.dictionary(name, fc.option(cutName, { nil: undefined })),
    cuts: fc.dictionary(cutName, name),
  })

  it('gives trees in which every piece stands once', () => {
    fc.assert(
      fc.property(tangle, ({ pieces, cuts }) => {
        const all = Object.entries(pieces).map(([id, from], at) => piece(id, { cut: from, day: at }))
        const families = plant(all, Object.entries(cuts).map(([id, mother]) => cut(id, mother)))
        const read = families.roots.flatMap((root) => ids(families, root))
        expect(new Set(read).size).toBe(read.length)
        expect(read.filter((id) => id in pieces).sort()).toEqual(Object.keys(pieces).sort())
        const counted = families.roots.reduce((sum, id) => {
          const top = families.members.get(id)
          return sum + (top?.below.pieces ?? 0) + Number(top?.piece !== null)
        }, 0)
        expect(counted).toBe(all.length)
      }),
      { numRuns: 500 },
    )
  })

  it('does not hang or run out of room on a line of 20,000 mothers', () => {
    const many = Array.from({ length: 20_000 }, (_, at) => at)
    const pieces = many.map((at) => piece(`p${at}`, { cut: at === 0 ? undefined : `c${at}`, day: at }))
    const families = plant(pieces, many.slice(1).map((at) => cut(`c${at}`, `p${at - 1}`)))
    expect(families.members.get('p0')?.deep).toBe(19_999)
    expect(above(families, 'p19999')).toHaveLength(19_999)
  })
})
