import { beforeAll, describe, expect, it } from 'vitest'
import type { PieceView } from '../sync/views.ts'
import { chosen, grouped } from './listing.ts'
import { start, type PieceState } from './state.ts'
import { moreWords } from '../words/index.ts'

beforeAll(moreWords)

const find = () => undefined

function piece(id: string, changes: Partial<PieceState>, line: string | null = 'Amber'): PieceView {
  return { id, state: { ...start(id), stage: 'healing', ...changes }, code: null, species: null, line, number: { base: 0, plus: 1 }, tank: null }
}

const flag = { what: 'seen-after-loss' as const, record: 'r', against: 'q' }
const pieces = [
  piece('a', { tray: 'tray.2', place: 'B10' }),
  piece('b', { tray: 'tray.2', place: 'B9', stage: 'ready' }),
  piece('c', { tray: 'tray.10', stage: 'lost' }, 'Blue'),
  piece('d', { stage: 'colony', flags: [flag] }, null),
  piece('e', { tray: 'tray.2', signs: ['brown-jelly'] }),
]
const ids = (list: readonly PieceView[]) => list.map((one) => one.id).join('')

describe('the stock’s list', () => {
  it('shows what is asked for', () => {
    const shown = (['open', 'healing', 'ready', 'colony', 'look', 'closed'] as const).map((one) => ids(chosen(pieces, one, '', find)))
    expect(shown).toEqual(['abde', 'ae', 'b', 'd', 'de', 'c'])
    expect(ids(chosen(pieces, 'open', ' amber ', find))).toBe('abe')
  })

  it('trays by number, places by number, what is not noted last', () => {
    const groups = grouped(pieces, 'tray', find).map((group) => [group.name, ids(group.pieces)])
    expect(groups).toEqual([['tray.2', 'bae'], ['tray.10', 'c'], ['No tray noted', 'd']])
  })

  it('by stage in the order a piece goes through, by line in the alphabet', () => {
    expect(grouped(pieces, 'stage', find).map((group) => [group.key, ids(group.pieces)])).toEqual([
      ['healing', 'ae'], ['ready', 'b'], ['colony', 'd'], ['lost', 'c'],
    ])
    expect(grouped(pieces, 'line', find).map((group) => group.name)).toEqual(['Amber', 'Blue', 'Line not known'])
  })
})
