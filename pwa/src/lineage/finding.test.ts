import { describe, expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import { piece } from './examples.ts'
import { found } from './finding.ts'

const LISTS: Readonly<Record<string, Record<string, string>>> = {
  'tray.a1': { name: 'A1' },
  'tray.b7': { name: 'B7' },
  'species.lobo': { name: 'Lobophyllia hemprichii' },
}
const find = (id: string): Item | undefined =>
  LISTS[id] && { id, list: 'tray', fields: LISTS[id], retired: false, tank: null, at: 0 }
const pieces = [
  piece('mother', { code: '4JQZKDMN', line: 'Amber 3' }),
  piece('first', { cut: '1', code: '2222222F', line: 'Amber 3', state: { tray: 'tray.a1', place: 'B7' } }),
  piece('second', { cut: '1', line: 'Amber 3', number: { base: 1, plus: 2 }, state: { tray: 'tray.b7', place: 'B70' } }),
  piece('bought', { cut: '2', line: 'Teal', number: { base: null, plus: 2 } }),
]
const ids = (asked: string) => found(pieces, asked, find).map(({ id }) => id)

describe('a piece is found', () => {
  it.each([
    ['4jqz-kdmn', ['mother']],
    ['4JQZ', ['mother']],
    ['222', []], // a number of three digits is a cut number, never part of a code
    ['amber', ['mother', 'first', 'second']],
    ['amber 3', ['mother', 'first', 'second']],
    ['3', ['mother', 'first', 'second']], // the line's name holds it, and the second counts 3
    ['cut number 1', ['first']],
    ['1', ['first']],
    ['?+2', ['bought']],
    ['b7', ['first', 'second']], // a place of one and the tray of the other, and not B70
    ['a1 b7', ['first']],
    ['a1, b7', ['first']],
    ['lobophyllia teal', ['bought']],
    ['nothing like it', []],
    ['  ', []],
  ])('by %j', (asked, expected) => expect(ids(asked)).toEqual(expected))
})
