import { expect, it } from 'vitest'
import { takes } from './capacity.ts'
import type { Item } from '../stock/lists.ts'

const item = (id: string, list: Item['list'], fields: Item['fields']): Item => ({ id, list, fields, retired: false, tank: null, at: 0 })
const BASES = [
  item('base.hex-40', 'base', { name: 'Hexagonal tile 40 mm', shape: 'hexagon', across_mm: 40 }),
  item('base.disc-30', 'base', { name: 'Round disc 30 mm', shape: 'disc', across_mm: 30 }),
  item('base.block-700', 'base', { name: 'Slab', shape: 'block', across_mm: 700 }),
  item('base.rock', 'base', { name: 'Rock' }),
]

it('a tray takes so many of each kind of base that has a size', () => {
  const tray = item('tray.a', 'tray', { width_mm: 1200, depth_mm: 600, gap_mm: 2 })
  expect(takes(tray, BASES)?.map(({ name, across, way }) => [name, across, way?.count ?? null])).toEqual([
    ['Hexagonal tile 40 mm', 40, 448],
    ['Round disc 30 mm', 30, 777],
    ['Slab', 700, null],
  ])
})

it('a tray whose size nobody has noted takes nobody knows how many', () => {
  expect(takes(item('tray.a', 'tray', { width_mm: 1200 }), BASES)).toBeNull()
  expect(takes(item('tray.a', 'tray', { width_mm: 1200, depth_mm: 600 }), [])).toEqual([])
})
