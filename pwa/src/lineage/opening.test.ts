import { describe, expect, it } from 'vitest'
import { cut, piece, small } from './examples.ts'
import { atFirst, laid, page, way } from './opening.ts'
import { plant, type Branch, type Families } from './tree.ts'
import type { PieceView } from '../sync/views.ts'

/** A colony of one cut with so many pieces, every third of them lost; the first was cut again. */
function wide(count: number) {
  const pieces = Array.from({ length: count }, (_, at) => piece(`p${at}`, { cut: 'one', day: at, fate: at % 3 === 2 ? 'l' : 'h' }))
  return plant([piece('colony'), ...pieces, piece('x', { cut: 'two' })], [cut('one', 'colony'), cut('two', 'p0')])
}

const ids = (list: readonly { readonly id: string }[]) => list.map(({ id }) => id)

function parts(families: Families<PieceView>, cutId: string, sought: (id: string) => boolean = () => false) {
  const { mothers, again, leaves, groups } = laid(families, families.branches.get(cutId) as Branch, sought)
  return { mothers: ids(mothers), again: ids(again), leaves: ids(leaves), groups: groups.map((one) => [one.fate, one.leaves.length]) }
}

describe('the pieces of a cut', () => {
  it('are all there where they are few', () => {
    expect(parts(small(), 'one')).toEqual({ mothers: ['a'], again: [], leaves: ['b'], groups: [] })
  })

  it('are grouped by their fate where they are many, mothers apart', () => {
    expect(parts(wide(20), 'one')).toEqual({ mothers: ['p0'], again: [], leaves: [], groups: [['healing', 13], ['lost', 6]] })
  })

  it('that were cut again are put away together where they are several, but for the one sought', () => {
    const names = ['a', 'b', 'c', 'd', 'e']
    const pieces = [piece('colony'), ...names.map((id, day) => piece(id, { cut: 'one', day }))]
    const families = plant(pieces, [cut('one', 'colony'), ...names.map((id) => cut(`of ${id}`, id))])
    expect(parts(families, 'one')).toEqual({ mothers: [], again: names, leaves: [], groups: [] })
    expect(parts(families, 'one', (id) => id === 'c')).toMatchObject({ mothers: ['c'], again: ['a', 'b', 'd', 'e'] })
    const fewer = plant(pieces.slice(0, 5), [cut('one', 'colony'), ...names.map((id) => cut(`of ${id}`, id))])
    expect(parts(fewer, 'one')).toMatchObject({ mothers: ['a', 'b', 'c', 'd'], again: [] })
  })
})

describe('what is open', () => {
  it('is the way from the top, group included', () => {
    expect(way(wide(30), 'p5')).toEqual(['mother colony', 'cut one', 'lost one'])
    expect(way(wide(30), 'x')).toEqual(['mother colony', 'mother p0', 'cut one', 'cut two'])
    expect(way(wide(30), 'colony')).toEqual([])
    expect(way(wide(30), 'nobody')).toEqual([])
  })

  it('is at first the way and no more in a large family, and all of a small one', () => {
    expect(atFirst(wide(30), 'colony')).toEqual(['mother colony', 'mother colony'])
    expect(new Set(atFirst(wide(30), 'x'))).toEqual(new Set(['mother colony', 'mother p0', 'cut one', 'cut two']))
    const all = new Set(atFirst(small(), 'b'))
    expect(['mother colony', 'mother a', 'cut one', 'cut two', 'cut three', 'lost two'].every((key) => all.has(key))).toBe(true)
    expect(atFirst(small(), 'nobody')).toEqual([])
  })

  it('of a long list is its first page, and what is sought before it', () => {
    const list = [1, 2, 3, 4, 5]
    const sought = (one: number) => one === 4
    expect([page(list, 5, sought), page(list, 2, sought), page(list, 2, () => false)]).toEqual([list, [4, 1, 2], [1, 2]])
  })
})
