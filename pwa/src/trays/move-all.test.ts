import { describe, expect, it } from 'vitest'
import { start } from '../stock/state.ts'
import type { PieceView } from '../sync/views.ts'
import { planOf } from './move-all.ts'
import { trayMap } from './tray-map.ts'

function piece(id: string, place: string | null): PieceView {
  return { id, state: { ...start(id), stage: 'healing', tray: 'tray.a', place }, code: null, species: null, line: null, number: { base: 0, plus: 1 }, tank: null }
}
const short = (list: readonly { piece: PieceView; place: string | null }[]) => list.map((one) => `${one.piece.id} ${one.place}`)
const SIZE = { column: 3, row: 2 }

describe('all from one tray to another', () => {
  it('keep their places where they are free there, the others take the next', () => {
    const target = trayMap([piece('there', 'B1')], SIZE)
    const found = planOf([piece('a', 'C1'), piece('b', 'b1'), piece('c', null), piece('d', 'D9'), piece('e', 'A1')], target, true)
    expect(short(found.moves)).toEqual(['a C1', 'b A2', 'c null', 'd B2', 'e A1'])
    expect([short(found.shifted), found.over]).toEqual([['b A2', 'd B2'], 0])
  })

  it('of two at one place the first keeps it', () => {
    const found = planOf([piece('a', 'A1'), piece('b', 'A1')], trayMap([], SIZE), true)
    expect([short(found.moves), short(found.shifted)]).toEqual([['a A1', 'b B1'], ['b B1']])
  })

  it('none moves where not all find room, those without a place counted in', () => {
    const target = trayMap([piece('x', 'A1'), piece('y', 'B1'), piece('z', null)], SIZE)
    const [a, b, c, d] = [piece('a', null), piece('b', null), piece('c', 'C1'), piece('d', 'C2')]
    expect(planOf([a, b, c, d], target, true)).toEqual({ moves: [], shifted: [], over: 1 })
    expect(planOf([a, b, c], target, true).moves).toHaveLength(3)
  })

  it('where no map is noted places are kept, and one that is taken is lost', () => {
    const found = planOf([piece('a', 'B2'), piece('b', 'F9')], trayMap([piece('x', 'B2')], null), false)
    expect([short(found.moves), short(found.shifted)]).toEqual([['a null', 'b F9'], ['a null']])
  })
})
