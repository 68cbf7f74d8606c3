import { describe, expect, it } from 'vitest'
import { fieldsOf, LISTS } from './fields.ts'
import { changedFields, readFields, typedOf, type Typed } from './read.ts'

const wrong = (list: Parameters<typeof readFields>[0], typed: Typed) => {
  const { wrong } = readFields(list, { name: 'A', ...typed })
  return wrong && [wrong.field?.name ?? 'name', wrong.why]
}
const NONE = { mouth: null, encrustation: null, recession: null, signs: [], checks: null }
const rule = (of: string, given: object = {}) =>
  Object.fromEntries(Object.entries({ ...NONE, ...given }).map(([name, value]) => [`${of}_${name}`, value]))

describe('an entry’s form', () => {
  it('is read as a record keeps it', () => {
    const typed = {
      name: ' Lobophyllia ', common: '', form: 'branching', check_days: '7', toxic: true,
      sale_mouth: 'open', sale_encrustation: '3', sale_recession: 'none', sale_signs: ['algae'], sale_checks: '2',
    }
    expect(readFields('species', typed).fields).toEqual({
      name: 'Lobophyllia', common: null, form: 'branching', check_days: 7, rest_days: null, toxic: true,
      ...rule('sale', { mouth: 'open', encrustation: 3, recession: 'none', signs: ['algae'], checks: 2 }), ...rule('cut'),
    })
    const blade = { name: 'Ring', blade_kind: 'diamond', blade_width_mm: '0,6', fitted: '2026-02-28', method: 'method.band-saw' }
    expect(readFields('blade', blade).fields).toEqual({ ...blade, blade_width_mm: '0.6' })
    expect(readFields('base', { name: 'Hex', shape: 'disc', label_sits: 'rim', soak_min: '0', porous: true }).fields).toEqual({
      name: 'Hex', shape: 'disc', across_mm: null, height_mm: null, porous: true, soak_min: 0, label_sits: 'rim', label_width_mm: null,
    })
  })

  it('says which field is wrong: words for numbers, ranges, no such day, a name too long or missing', () => {
    expect(wrong('species', { check_days: 'seven' })).toEqual(['check_days', 'numberBad'])
    expect(wrong('species', { check_days: '0' })).toEqual(['check_days', 'numberBad'])
    expect(wrong('species', { rest_days: '1501' })).toEqual(['rest_days', 'numberBad'])
    expect(wrong('species', { sale_checks: '0' })).toEqual(['sale_checks', 'numberBad'])
    expect(wrong('species', { cut_checks: '-1' })).toEqual(['cut_checks', 'numberBad'])
    expect(wrong('tray', { columns: '6.5' })).toEqual(['columns', 'numberBad'])
    expect(wrong('blade', { blade_width_mm: 'thin' })).toEqual(['blade_width_mm', 'decimalBad'])
    expect(wrong('blade', { blade_width_mm: '51' })).toEqual(['blade_width_mm', 'decimalBad'])
    expect(wrong('blade', { fitted: '2026-02-29' })).toEqual(['fitted', 'dateBad'])
    expect(wrong('species', { common: 'x'.repeat(121) })).toEqual(['common', 'textLong'])
    expect(wrong('cause', { name: 'x'.repeat(121) })).toEqual(['name', 'nameLong'])
    expect(wrong('cause', { name: '  ' })).toEqual(['name', 'nameNeeded'])
    expect([wrong('cause', { name: 'x'.repeat(120) }), wrong('tray', { columns: '6', rows: '' })]).toEqual([null, null])
  })

  it('what stands in it is what is known, and reads back as the same', () => {
    const known = { name: 'Hex', shape: 'block', across_mm: 40, porous: true, soak_min: 10, label_sits: 'underside', label_width_mm: 20 }
    expect(readFields('base', typedOf('base', known)).fields).toEqual({ ...known, height_mm: null })
    const rules = { name: 'L', form: 'single', check_days: 7, rest_days: 180, toxic: false, common: 'lobed', ...rule('sale', { mouth: 'bud', encrustation: 4 }), ...rule('cut') }
    expect(readFields('species', typedOf('species', rules)).fields).toEqual(rules)
    for (const list of LISTS) expect(readFields(list, { ...typedOf(list, null), name: 'New' }).wrong).toBeNull()
    expect(typedOf('species', null)).toMatchObject({ form: 'single', check_days: '7', rest_days: '180', sale_mouth: '', sale_signs: [] })
  })

  it('only what was changed is recorded; of a new entry, what says something', () => {
    const before = typedOf('species', { name: 'L', check_days: 7, sale_signs: ['algae'] })
    const saved = (typed: Typed) => changedFields(readFields('species', typed).fields ?? {}, 'species', before)
    expect(saved(before)).toEqual({})
    expect(saved({ ...before, check_days: '7 ', name: ' L' })).toEqual({})
    expect(saved({ ...before, check_days: '', sale_signs: [], sale_encrustation: '2' })).toEqual({ check_days: null, sale_signs: [], sale_encrustation: 2 })
    const fresh = { ...typedOf('base', null), name: 'Hex' }
    expect(changedFields(readFields('base', fresh).fields ?? {}, 'base', null)).toEqual({ name: 'Hex', shape: 'hexagon', porous: false, soak_min: 10 })
  })

  it('no field of a list stands in it twice', () => {
    for (const list of LISTS) {
      const names = fieldsOf(list).map((field) => field.name)
      expect(new Set(names).size).toBe(names.length)
    }
  })
})
