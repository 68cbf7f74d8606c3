import { describe, expect, it } from 'vitest'
import type { PieceView } from '../sync/views.ts'
import { start } from '../stock/state.ts'
import { nextFree, placeAfter, trayMap, type TrayMap } from './tray-map.ts'

function piece(id: string, place: string | null): PieceView {
  return { id, state: { ...start(id), stage: 'healing', tray: 'tray.a', place }, code: null, species: null, line: null, number: { base: 0, plus: 1 }, tank: null }
}

/** Row by row, what stands at each place. */
const drawn = ({ columns, rows }: TrayMap) => [
  ['', ...columns].join(' '),
  ...rows.map(({ number, cells }) => [number, ...cells.map((cell) => cell.pieces.map((one) => one.id).join('+') || '.')].join(' ')),
]

describe('a tray’s map', () => {
  it('has each piece at its place, and counts what is free: what stands at no place of it takes one all the same', () => {
    const map = trayMap([piece('x', 'A1'), piece('y', 'c2'), piece('z', 'C2'), piece('w', 'D1'), piece('v', null), piece('u', 'shelf')], { column: 3, row: 2 })
    expect(drawn(map)).toEqual([' A B C', '1 x . .', '2 . . y+z'])
    expect([map.free, map.elsewhere.map((one) => one.id)]).toEqual([1, ['w', 'v', 'u']])
    expect(map.rows[1]?.cells.map((cell) => cell.place)).toEqual(['A2', 'B2', 'C2'])
  })

  it('is as large as the places in use where nobody has said how large it is', () => {
    expect(drawn(trayMap([piece('x', 'B3')], null))).toEqual([' A B', '1 . .', '2 . .', '3 . x'])
    expect(trayMap([piece('x', null)], null)).toEqual({ columns: [], rows: [], free: 0, elsewhere: [piece('x', null)] })
  })

  it('leads to the next free place, round the end, until it is full', () => {
    const map = trayMap([piece('x', 'A1'), piece('y', 'C2')], { column: 3, row: 2 })
    expect([null, 'B1', 'C1', 'B2', 'C2', 'Z9'].map((after) => nextFree(map, after))).toEqual(['B1', 'C1', 'A2', 'B1', 'B1', 'B1'])
    expect(nextFree(trayMap([piece('x', 'A1')], { column: 1, row: 1 }), null)).toBeNull()
  })

  it('leads a base after the last place to the first free one, and one further where there is no map', () => {
    const there = [piece('x', 'A1'), piece('y', 'C2')]
    expect(['A1', 'C1', 'C2', 'odd'].map((after) => placeAfter(there, { column: 3, row: 2 }, after))).toEqual(['B1', 'A2', 'B1', 'B1'])
    expect(placeAfter([piece('x', 'A1')], { column: 1, row: 1 }, 'A1')).toBeNull()
    expect(['C2', 'odd'].map((after) => placeAfter(there, null, after))).toEqual(['D2', null])
  })

  it('goes on after Z, as places do', () => {
    const map = trayMap([piece('x', 'AB1')], { column: 28, row: 1 })
    expect([map.columns.slice(-3), map.free]).toEqual([['Z', 'AA', 'AB'], 27])
    expect(map.rows[0]?.cells.at(-1)?.pieces.map((one) => one.id)).toEqual(['x'])
  })
})
