import { describe, expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import { cellOf, placeBeside } from './cell.ts'
import { trayMap } from './tray-map.ts'

const tray = (fields: Item['fields']): Item => ({ id: 'tray.a', list: 'tray', fields, retired: false, tank: null, codes: [], at: 0 })

describe('a cell of a tray’s map', () => {
  it('is as long and as wide as a place in the tray, never less than a thumb', () => {
    const map = trayMap([], { column: 24, row: 20 })
    // 1200 / 24 = 50 mm by 600 / 20 = 30 mm.
    expect(cellOf(tray({ width_mm: 1200, depth_mm: 600 }), map)).toEqual({ wide: 3.5 * (50 / 30), high: 3.5 })
    expect(cellOf(tray({ width_mm: 600, depth_mm: 1000 }), map)).toEqual({ wide: 3.5, high: 7 })
    expect(cellOf(tray({ width_mm: 9000, depth_mm: 100 }), map)).toEqual({ wide: 8.75, high: 3.5 })
  })

  it('is square where nobody has noted the tray’s size', () => {
    const square = { wide: 3.5, high: 3.5 }
    expect(cellOf(tray({ width_mm: 1200 }), trayMap([], { column: 2, row: 2 }))).toEqual(square)
    expect(cellOf(undefined, trayMap([], { column: 2, row: 2 }))).toEqual(square)
    expect(cellOf(tray({ width_mm: 1200, depth_mm: 600 }), trayMap([], null))).toEqual(square)
  })
})

it('arrow keys go to the next place in their direction that can be chosen, and stay at the edge', () => {
  const map = trayMap([], { column: 3, row: 3 })
  const stops = (place: string) => place !== 'B2'
  const from = (place: string, key: string) => placeBeside(map, place, key, stops)
  expect([from('A2', 'ArrowRight'), from('B1', 'ArrowDown'), from('C3', 'ArrowLeft'), from('A3', 'ArrowUp')]).toEqual(['C2', 'B3', 'B3', 'A2'])
  expect([from('A1', 'ArrowUp'), from('C1', 'ArrowRight'), from('Z9', 'ArrowLeft'), from('A1', 'Enter')]).toEqual([null, null, null, null])
})
