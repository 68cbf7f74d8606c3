import { describe, expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import type { PieceView } from '../sync/views.ts'
import { forItem, forPiece, inTrayOrder } from './targets.ts'

const TRAY: Item = { id: 'tray.a1', list: 'tray', fields: { name: 'A1' }, retired: false, tank: null, at: 1 }
const find = (key: string) => (key === TRAY.id ? TRAY : undefined)

function piece(id: string, place: string | null): PieceView {
  const state = { tray: place === null ? null : 'tray.a1', place, codes: [] } as unknown as PieceView['state']
  return { id, state, code: null, species: null, line: 'Amber', number: { base: 0, plus: 2 }, tank: null }
}

describe('labels for pieces, trays and tanks', () => {
  it('say the place or the name of a piece', () => {
    expect(forPiece(piece('p', 'B7'), 'place', find)).toEqual({ subject: { kind: 'piece', id: 'p' }, said: 'A1, B7' })
    expect(forPiece(piece('p', 'B7'), 'name', find).said).toContain('Amber')
    expect(forPiece(piece('p', null), 'place', find).said).toBe('')
    expect(forPiece({ ...piece('p', null), tank: 'tank.x' }, 'place', find).said).toBe('tank.x')
  })

  it('say the name of a tray or tank, as long as a label may be told', () => {
    expect(forItem(TRAY)).toEqual({ subject: { kind: 'tray', id: 'tray.a1' }, said: 'A1' })
    const tank = { ...TRAY, id: 'tank.x', list: 'tank' as const, fields: { name: 'x'.repeat(99) } }
    expect(forItem(tank)).toEqual({ subject: { kind: 'tank', id: 'tank.x' }, said: 'x'.repeat(80) })
  })

  it('come in the order of the tray, B2 before B10', () => {
    const order = inTrayOrder([piece('a', null), piece('b', 'B10'), piece('c', 'B2')], find)
    expect(order.map((one) => one.id)).toEqual(['c', 'b', 'a'])
  })
})
