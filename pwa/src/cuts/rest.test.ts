import { expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import { start } from '../stock/state.ts'
import { against, rested } from './rest.ts'

const species = (rest_days: number | null): Item => ({ id: 'species.x', list: 'species', fields: { name: 'Lobophyllia', rest_days }, retired: false, tank: null, at: 0 })
const TODAY = '2026-03-31'
const begun = { record: 'r', at: Date.parse('2026-01-01T10:00:00Z'), day: '2026-01-01' }
const colony = { ...start('m'), begun: { ...begun, kind: 'arrival' as const } }
const glued = { ...colony, begun: { ...begun, kind: 'glue' as const } }

it('she rests since her last cut, else since she was glued herself; a colony never cut here is rested', () => {
  expect([rested({ ...glued, last_cut: '2026-03-01' }, TODAY), rested(glued, TODAY), rested(colony, TODAY)]).toEqual([30, 89, null])
})

it('too short a rest is said where her species names one', () => {
  const cut = { ...colony, last_cut: '2026-03-01' }
  expect(against(cut, species(180), TODAY)).toEqual([{ why: 'rested', days: 30, wanted: 180 }])
  expect([against(cut, species(30), TODAY), against(cut, species(null), TODAY), against(cut, undefined, TODAY), against(colony, species(180), TODAY)]).toEqual([[], [], [], []])
})

it('recession and brown jelly at the last look are said first', () => {
  const ill = { ...glued, recession: 'quarter' as const, signs: ['algae' as const, 'brown-jelly' as const] }
  expect(against(ill, species(180), TODAY)).toEqual([{ why: 'jelly' }, { why: 'recession', recession: 'quarter' }, { why: 'rested', days: 89, wanted: 180 }])
  expect(against({ ...glued, recession: 'none' }, undefined, TODAY)).toEqual([])
})
