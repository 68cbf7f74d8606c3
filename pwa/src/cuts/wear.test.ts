import { expect, it } from 'vitest'
import type { CutView } from '../sync/views.ts'
import { wear } from './wear.ts'

const cut = (id: string, mother: string, blade?: string): CutView => ({
  id, at: 0, record: id, ended: null, body: { sitting: 's', mother, method: 'method.band-saw', ...(blade && { blade }) },
})
const BASES = new Map([['tile', 'base.hex'], ['tile2', 'base.hex'], ['block', 'base.block']])
const baseOf = (mother: string) => BASES.get(mother) ?? null

it('a blade has its cuts counted, and under them the bases that its mothers stood on', () => {
  const cuts = [cut('1', 'wild', 'blade.a'), cut('2', 'block', 'blade.a'), cut('3', 'tile', 'blade.a'), cut('4', 'tile2', 'blade.a'), cut('5', 'tile', 'blade.b'), cut('6', 'tile')]
  expect(wear(cuts, 'blade.a', baseOf)).toEqual({ cuts: 4, onBases: [{ base: 'base.hex', cuts: 2 }, { base: 'base.block', cuts: 1 }] })
  expect(wear(cuts, 'blade.b', baseOf)).toEqual({ cuts: 1, onBases: [{ base: 'base.hex', cuts: 1 }] })
  expect(wear(cuts, 'blade.new', baseOf)).toEqual({ cuts: 0, onBases: [] })
})
