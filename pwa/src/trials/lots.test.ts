import { afterAll, beforeEach, expect, it, vi } from 'vitest'
import { trialStorage } from '../kit/trial-storage.ts'
import type { Lot } from './asking.ts'
import type { Trial } from './trial.ts'

const stored = new Map<string, string>()
vi.stubGlobal('localStorage', trialStorage(stored))
// What is at the saw reads what is kept as soon as it is there.
const { Lots } = await import('./lots.svelte.ts')
beforeEach(() => stored.clear())
afterAll(() => vi.unstubAllGlobals())

const trial = (id: string, varies: Trial['varies']): Trial => ({
  id, varies, name: id, arms: ['a', 'b'], endpoint: 'sale', difference: 1, cuts: 4, seed: 's', begins: '2026-01-01', ended: false,
})
const lot = (of: Trial, arm = 'a'): Lot => ({ trial: of, arm, part: of.varies === 'method' ? { number: 1, of: 2 } : null })
const [saws, blades] = [trial('saws', 'method'), trial('blades', 'method')]

it('a mother marked for one comparison is not marked for another', () => {
  const lots = new Lots(() => 'rui')
  lots.mark('mother', lot(saws))
  expect([lots.isMarked(saws, 'mother'), lots.isMarked(blades, 'mother'), lots.isMarked(saws, 'other')]).toEqual([true, false, false])
})

it('what one person has seen of the draw is not shown to the next, who has no piece in hand yet', () => {
  let who: string | null = 'rui'
  const lots = new Lots(() => who)
  lots.show('cut', lot(trial('tiles', 'base')))
  lots.mark('mother', lot(saws))
  who = 'ida'
  expect([lots.shownFor('cut'), lots.isMarked(saws, 'mother')]).toEqual([null, false])
  who = 'rui'
  expect([lots.shownFor('cut'), lots.isMarked(saws, 'mother')]).toEqual(['a', true])
})

it('the base in hand is the one that was drawn, or taken instead, and of this cut alone', () => {
  const lots = new Lots(() => 'rui')
  const [cut, other] = [{ id: 'cut', base: 'plain' }, { id: 'other', base: 'plain' }]
  expect(lots.baseFor(cut)).toBe('plain')
  lots.show('cut', lot(trial('tiles', 'base'), 'drawn'))
  expect([lots.baseFor(cut), lots.baseFor(other)]).toEqual(['drawn', 'plain'])
  lots.glueTo('taken')
  expect([lots.baseFor(cut), lots.baseFor(other)]).toEqual(['taken', 'plain'])
  lots.show('cut', lot(trial('mouths', 'mouths'), 'none'))
  expect(lots.baseFor(cut)).toBe('plain')
})
