import { describe, expect, it } from 'vitest'
import type { Item } from '../stock/lists.ts'
import { moreWords, setLocale } from '../words/index.ts'
import { armsProblem, blank, newSeed, readDraft, type Known, type TrialDraft } from './planning.ts'
import { questionOf } from './size.ts'
import { asDrawn, isOn, readTrial, trialsOf, type Trial } from './trial.ts'

await moreWords()
setLocale('en')
const base = (id: string, retired = false): Item => ({ id, list: 'base', fields: { name: id.slice(5) }, retired, tank: null, at: 0 })
const BASES = new Map([base('base.small'), base('base.large'), base('base.old', true)].map((item) => [item.id, item]))
const find = (id: string) => BASES.get(id)
const KNOWN: Known = { find, names: ['Winter'], before: null }
const DRAFT: TrialDraft = {
  ...blank('2026-03-01'), name: ' Tiles ', arms: ['base.small', 'base.large'], difference: '14', cuts: '24',
}
const FIELDS = {
  name: 'Tiles', varies: 'base', arms: ['base.small', 'base.large'], endpoint: 'sale', difference: 14, cuts: 24, begins: '2026-03-01',
}
const TRIAL: Trial = { id: 'trial.a', name: 'Tiles', varies: 'base', arms: FIELDS.arms, endpoint: 'sale', difference: 14, cuts: 24, seed: 'ab', begins: '2026-03-01', ended: false }

describe('a plan', () => {
  it('is read as a record keeps it', () => {
    expect(readDraft(DRAFT, KNOWN)).toEqual({ ok: true, fields: FIELDS })
  })

  it.each<[string, Partial<TrialDraft>, string]>([
    ['without a name', { name: ' ' }, 'Give it a name'],
    ['under a name that is there', { name: 'winter' }, '“winter” is there already'],
    ['with one arm', { arms: ['base.small'] }, 'two or more'],
    ['with the same arm twice', { arms: ['base.small', 'base.small'] }, 'with itself'],
    ['with too many arms', { varies: 'mouths', arms: ['a', 'b', 'c', 'd', 'e', 'f', 'g'] }, 'At most 6'],
    ['with a retired base', { arms: ['base.small', 'base.old'] }, 'old is not offered any more'],
    ['with a base nobody listed', { arms: ['base.small', 'base.none'] }, 'base.none is not offered any more'],
    ['without a difference', { difference: '' }, 'Write the difference'],
    ['with a difference of nothing', { difference: '0' }, 'cannot be found by any number of cuts'],
    ['with words for a difference', { difference: 'many' }, 'whole days, 1 to 1,000'],
    ['with a share beyond a hundred', { endpoint: 'lost', difference: '101' }, 'write 1 to 100'],
    ['with a share below nothing', { endpoint: 'lost', difference: '-5' }, 'write 1 to 100'],
    ['without cuts', { cuts: '' }, 'how many cuts, 4 to 2,000'],
    ['with three cuts', { cuts: '3' }, 'how many cuts, 4 to 2,000'],
    ['without a day', { begins: '' }, 'day it begins'],
  ])('%s is refused with a sentence, and nothing of it is lost', (_, change, said) => {
    const read = readDraft({ ...DRAFT, ...change }, KNOWN)
    expect(read.ok ? '' : read.why).toContain(said)
    expect(read.ok ? '' : read.why).toMatch(/Nothing was saved( yet)?\.$/)
  })

  const before = { trial: TRIAL, drawn: 3 }
  it.each<[string, Partial<TrialDraft>]>([
    ['other arms', { arms: ['base.small', 'base.old'] }],
    ['another kind', { varies: 'mouths', arms: ['none', 'part'] }],
    ['another endpoint', { endpoint: 'cut' }],
    ['another difference', { difference: '20' }],
  ])('once a piece was drawn, %s would spoil the draw', (_, change) => {
    const read = readDraft({ ...DRAFT, ...change }, { ...KNOWN, before })
    expect(read.ok ? '' : read.why).toContain('3 pieces were drawn for it already')
    expect(read.ok ? '' : read.why).toContain('end this trial and plan another')
    expect(readDraft({ ...DRAFT, varies: 'mouths', arms: ['none', 'part'] }, { ...KNOWN, before: { trial: TRIAL, drawn: 0 } }).ok).toBe(true)
  })
  it('then its name and the number of cuts may change still, also where a base was retired since', () => {
    const [small, old] = ['base.small', 'base.old']
    const trial = { ...TRIAL, arms: [small, old] }
    const read = readDraft({ ...DRAFT, arms: [old, small], name: 'Other', cuts: '30' }, { ...KNOWN, before: { trial, drawn: 3 } })
    expect(read).toEqual({ ok: true, fields: { ...FIELDS, arms: [old, small], name: 'Other', cuts: 30 } })
  })

  it('asks the server only what the form says', () => {
    expect(questionOf({ ...DRAFT, difference: '' }, find)).toBeNull()
    expect(questionOf({ ...DRAFT, arms: ['base.small'] }, find)).toBeNull()
    expect(questionOf(DRAFT, find)).toBe('varies=base&arms=2&endpoint=sale&difference=14')
    expect(questionOf({ ...DRAFT, share: '20', pieces: 'x', spread: '30' }, find)).toBe(
      'varies=base&arms=2&endpoint=sale&difference=14&share=20&spread=30',
    )
    expect(armsProblem({ varies: 'mouths', arms: ['none', 'whole'] }, find)).toBeNull()
  })

  it('gets a seed of its own', () => {
    const seeds = new Set(Array.from({ length: 50 }, newSeed))
    expect(seeds.size).toBe(50)
    expect([...seeds].every((seed) => /^[0-9a-f]{32}$/.test(seed))).toBe(true)
  })
})

describe('an entry of the list', () => {
  const item = (fields: Item['fields'], retired = false): Item => ({ id: 'trial.a', list: 'trial', fields, retired, tank: null, at: 0 })
  it('is a trial where this version can draw for it', () => {
    const whole = { ...FIELDS, seed: 'ab' }
    expect(readTrial(item(whole))).toEqual(TRIAL)
    for (const broken of [{ varies: 'moon' }, { arms: ['base.small'] }, { arms: 'base.small' }, { seed: null }, { endpoint: 'x' }, { cuts: '3' }, { arms: Array.from({ length: 129 }, (_, at) => `base.${at}`) }]) {
      expect(readTrial(item({ ...whole, ...broken } as Item['fields']))).toBeNull()
    }
    expect(readTrial({ ...item(whole), list: 'base' })).toBeNull()
    expect(trialsOf([item(whole, true), { ...item(whole), id: 'trial.b' }]).map(({ id, ended }) => [id, ended])).toEqual([['trial.b', false], ['trial.a', true]])
  })
  it('is on from the day it begins until it is ended', () => {
    expect([isOn(TRIAL, '2026-02-28'), isOn(TRIAL, '2026-03-01'), isOn({ ...TRIAL, ended: true }, '2026-03-01')]).toEqual([false, true, false])
  })
})

it('what was done is as drawn, or not; what was not noted is not', () => {
  const done = { method: 'method.a', base: 'base.small', mouths: null }
  expect([asDrawn('method', 'method.a', done), asDrawn('method', 'method.b', done)]).toEqual([true, false])
  expect([asDrawn('base', 'base.small', done), asDrawn('base', 'base.large', done)]).toEqual([true, false])
  const kept = (['none', 'part', 1, 3, null] as const).map((mouths) => (['none', 'part', 'whole'] as const).map((arm) => asDrawn('mouths', arm, { ...done, mouths })))
  expect(kept).toEqual([[true, false, false], [false, true, false], [false, false, true], [false, false, true], [false, false, false]])
})
