import { describe, expect, it } from 'vitest'
import type { PieceView } from '../sync/views.ts'
import { start } from './state.ts'
import { trayMap, type TrayMap } from './tray-map.ts'

function piece(id: string, place: string | null): PieceView {
  return { id, state: { ...start(id), stage: 'healing', tray: 'tray.a', place }, code: null, species: null, line: null, number: { base: 0, plus: 1 }, tank: null }
}

/** Row by row, what stands at each place. */
const drawn = ({ columns, rows }: TrayMap) => [
  ['', ...columns].join(' '),
  ...rows.map(({ number, cells }) => [number, ...cells.map((cell) => cell.pieces.map((one) => one.id).join('+') || '.')].join(' ')),
]

describe('a tray’s map', () => {
  it('has each piece at its place, and counts what is free', () => {
    const map = trayMap([piece('x', 'A1'), piece('y', 'c2'), piece('z', 'C2'), piece('w', 'D1'), piece('v', null), piece('u', 'shelf')], { column: 3, row: 2 })
    expect(drawn(map)).toEqual([' A B C', '1 x . .', '2 . . y+z'])
    expect([map.free, map.elsewhere.map((one) => one.id)]).toEqual([4, ['w', 'v', 'u']])
    expect(map.rows[1]?.cells.map((cell) => cell.place)).toEqual(['A2', 'B2', 'C2'])
  })

  it('is as large as the places in use where nobody has said how large it is', () => {
    expect(drawn(trayMap([piece('x', 'B3')], null))).toEqual([' A B', '1 . .', '2 . .', '3 . x'])
    expect(trayMap([piece('x', null)], null)).toEqual({ columns: [], rows: [], free: 0, elsewhere: [piece('x', null)] })
  })

  it('goes on after Z, as places do', () => {
    const map = trayMap([piece('x', 'AB1')], { column: 28, row: 1 })
    expect([map.columns.slice(-3), map.free]).toEqual([['Z', 'AA', 'AB'], 27])
    expect(map.rows[0]?.cells.at(-1)?.pieces.map((one) => one.id)).toEqual(['x'])
  })
})
