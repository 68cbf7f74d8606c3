import { beforeAll, describe, expect, it } from 'vitest'
import { setLocale } from '../words/index.ts'
import type { PieceView } from '../sync/views.ts'
import type { Item } from './lists.ts'
import { start, type PieceState } from './state.ts'
import { ageText, dayText, fits, growthForm, isOverdue, pieceName, signOf, stageText, whereText } from './view.ts'

const items: Record<string, Item> = Object.fromEntries(
  [
    { id: 'base.disc', list: 'base', fields: { name: 'Round 30', shape: 'disc' } },
    { id: 'tray.a1', list: 'tray', fields: { name: 'Tray A1' } },
    { id: 'species.x', list: 'species', fields: { name: 'Lobophyllia hemprichii', common: 'lobed', form: 'branching', check_days: 10 } },
  ].map((item) => [item.id, { ...item, retired: false, at: 0 } as unknown as Item]),
)
const find = (id: string) => items[id]

function piece(changes: Partial<PieceState>, view: Partial<PieceView> = {}): PieceView {
  const state: PieceState = {
    ...start('p'),
    stage: 'healing',
    begun: { kind: 'glue', record: 'r', at: 0, day: '2026-03-01' },
    base: 'base.disc',
    ...changes,
  }
  return { id: 'p', state, code: null, species: 'species.x', line: 'Amber', number: { base: 1, plus: 2 }, tank: null, ...view }
}

beforeAll(() => setLocale('en-GB'))

describe('what of a piece is shown', () => {
  it('a healing piece: glyph, name, age, place', () => {
    const view = piece({ encrustation: 2, mouth: 'open', tray: 'tray.a1', place: 'B4', alive: '2026-03-05' })
    expect(signOf(view, find, '2026-03-15')).toEqual({
      shape: 'disc', encrustation: 2, mouth: 'open', recession: null, stage: 'healing', overdue: false,
    })
    expect(pieceName(view)).toBe('Amber, cut number 3')
    expect(pieceName(piece({}, { line: null, number: { base: null, plus: 2 } }))).toBe('Line not known, cut number ?+2')
    expect(pieceName(piece({}, { number: { base: null, plus: 0 } }))).toBe('Amber, cut number not known')
    expect(ageText(view.state, '2026-03-15')).toBe('Glued 14 days ago, 1 Mar 2026')
    expect(ageText(view.state, '2026-03-02')).toBe('Glued 1 day ago, 1 Mar 2026')
    expect(whereText(view, find)).toBe('Tray A1, B4')
    expect(whereText(piece({ tray: 'tray.zz' }), find)).toBe('tray.zz, place not noted')
    expect(whereText(piece({}), find)).toBeNull()
  })

  it('is overdue only from the day after the species’ days have passed, and only while healing', () => {
    const view = piece({ alive: '2026-03-05' })
    expect(isOverdue(view, find, '2026-03-15')).toBe(false)
    expect(isOverdue(view, find, '2026-03-16')).toBe(true)
    expect(isOverdue(piece({}), find, '2026-03-12')).toBe(true)
    expect(isOverdue(piece({ stage: 'ready' }), find, '2026-12-01')).toBe(false)
    expect(isOverdue(piece({}, { species: null }), find, '2026-12-01')).toBe(false)
  })

  it('closed pieces say how they ended, whatever else they were', () => {
    const ready = { record: 'r', after: null, by: '2026-05-01' }
    expect(stageText(piece({ stage: 'ready', ready_sale: ready }).state)).toBe('Ready for sale since 1 May 2026')
    const loss = { ...ready, how: 'missing' as const, sign: null, cause: null }
    expect(stageText(piece({ stage: 'lost', ready_sale: ready, loss }).state)).toBe('Lost: missing since 1 May 2026')
    const exit = { record: 'r', day: '2026-06-02', how: 'cut-up' as const, to: null }
    const used = piece({ stage: 'exited', exit })
    expect(stageText(used.state)).toBe('Used up in a cut 2 Jun 2026')
    expect(signOf(used, find, '2026-07-01').stage).toBe('used')
  })

  it('a local date is the same date in every zone', () => {
    expect(dayText('2026-01-01')).toBe('1 Jan 2026')
  })

  it('a date that no calendar has is shown as it was typed', () => {
    expect(['2026-02-30', '2026-13-01', 'spring', '0001-01-01'].map(dayText)).toEqual([
      '2026-02-30', '2026-13-01', 'spring', '1 Jan 1',
    ])
  })

  it('growth form falls back to plain words', () => {
    expect(growthForm('species.x', find)).toBe('branching')
    expect(growthForm('species.unheard', find)).toBe('single')
    expect(growthForm(null, find)).toBe('single')
  })

  it('search: every word, codes with or without hyphen, species by either name', () => {
    const claim = { code: '4JQZKDMG', at: 0, record: 'r' }
    const view = piece({ codes: [claim], tray: 'tray.a1' }, { code: '4JQZKDMG' })
    expect(['amb', 'AMBER a1', '4jqz', '4jqz-kd', 'lobed', 'hemprichii amber'].map((text) => fits(view, text, find)))
      .toEqual([true, true, true, true, true, true])
    expect(['amber b2', 'zzz'].map((text) => fits(view, text, find))).toEqual([false, false])
  })
})
