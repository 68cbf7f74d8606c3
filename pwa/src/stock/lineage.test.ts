import { describe, expect, it } from 'vitest'
import { fixture, whole, type ShortEntry } from './fixtures.ts'
import { descent, forebears, numberText, type Descent, type Kin, type Kinship } from './lineage.ts'
import { foldItem, nameOf, ofList, settingsOf, type Item } from './lists.ts'
import { start } from './state.ts'

interface Began {
  readonly kind: 'arrival' | 'glue'
  readonly cut?: string
  readonly purpose?: 'sale' | 'hold'
  readonly [field: string]: unknown
}
interface LineageCase {
  readonly name: string
  readonly settings: { readonly wild_number: number; readonly held_back_keeps: boolean }
  readonly cuts: Record<string, string>
  readonly pieces: Record<string, Began>
  readonly expected: Record<string, Descent>
}

function kinshipOf({ cuts, pieces }: LineageCase): Kinship {
  const kin = (id: string): Kin | undefined => {
    const began = pieces[id]
    if (!began) return undefined
    const { kind, purpose, ...fields } = began
    // The purpose was changed since: only that of the gluing may count.
    const state = { ...start(id), ...fields, begun: { kind, record: id, at: 0, day: '2026-03-01' } }
    return { state: { ...state, purpose: purpose === 'hold' ? 'sale' : 'hold' }, glued: purpose ?? null }
  }
  return { kin, mother: (cut) => cuts[cut] }
}

describe('lineage', () => {
  it.each(fixture<{ cases: LineageCase[] }>('fold/lineage.json').cases)('$name', (one) => {
    const found = Object.keys(one.expected).map((id) => [id, descent(id, kinshipOf(one), one.settings)])
    expect(Object.fromEntries(found)).toEqual(one.expected)
  })

  it('names the mothers, nearest first, with the cut that each was the mother of', () => {
    const [chain] = fixture<{ cases: LineageCase[] }>('fold/lineage.json').cases
    expect(chain && forebears('last', kinshipOf(chain))).toEqual([
      { id: 'grandchild', cut: 'cut.3' },
      { id: 'child', cut: 'cut.2' },
      { id: 'colony', cut: 'cut.1' },
    ])
  })

  it('is written as a number, or as what was added to an unknown one', () => {
    expect([numberText({ base: 2, plus: 3 }), numberText({ base: null, plus: 2 })]).toEqual(['5', '?+2'])
  })
})

interface ListCase {
  readonly name: string
  readonly item: string
  readonly retracted: readonly string[]
  readonly entries: readonly ShortEntry[]
  readonly expected: Omit<Item, 'id' | 'at'>
}
const lists = fixture<{ envelope: Record<string, unknown>; cases: ListCase[] }>('fold/lists.json')

describe('lists', () => {
  it.each(lists.cases)('$name', ({ item, entries, retracted, expected }) => {
    const { at: _at, ...ours } = foldItem(item, whole(lists.envelope, entries), new Set(retracted))
    expect(ours).toEqual({ id: item, ...expected })
  })

  it('come by name, retired entries only when asked for', () => {
    const item = (id: string, name: string, retired = false): Item => ({
      id, list: 'tray', fields: { name }, retired, tank: null, at: 0,
    })
    const all = [item('tray.c', 'Two'), item('tray.b', 'one'), item('tray.a', 'Old', true)]
    expect(ofList(all, 'tray').map(nameOf)).toEqual(['one', 'Two'])
    expect(ofList(all, 'tray', true).map(nameOf)).toEqual(['Old', 'one', 'Two'])
    expect(ofList(all, 'tank')).toEqual([])
  })
})

describe('settings', () => {
  const item = (fields: Item['fields']): Item => ({
    id: 'settings', list: 'settings', fields, retired: false, tank: null, at: 0,
  })

  it('have what stands in for fields that nobody has set', () => {
    expect(settingsOf(undefined)).toEqual({
      name: null, zone: 'UTC', label_host: null, wild_number: 0, held_back_keeps: false, locale: null,
    })
  })

  it('are what was set', () => {
    const fields = {
      name: 'Coral Yard', zone: 'Indian/Maldives', label_host: 'labels.example', wild_number: 1,
      held_back_keeps: true, locale: 'en-GB',
    }
    expect(settingsOf(item(fields))).toEqual(fields)
  })

  it('do without a zone or a language this phone does not know', () => {
    const { zone, locale } = settingsOf(item({ zone: 'Mars/Olympus', locale: 'not a language' }))
    expect([zone, locale]).toEqual(['UTC', null])
  })
})
