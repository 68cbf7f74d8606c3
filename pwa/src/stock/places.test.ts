import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { FieldValue } from '../records/fields.ts'
import type { Item } from './lists.ts'
import { columnLetters, mapOf, readPlace, within, writePlace } from './places.ts'

describe('places on a tray’s map', () => {
  it('reads what was typed and refuses what is none', () => {
    expect(['b7', ' B 7 ', 'AA12', 'b-3'].map((text) => readPlace(text))).toEqual([
      { column: 2, row: 7 }, { column: 2, row: 7 }, { column: 27, row: 12 }, { column: 2, row: 3 },
    ])
    expect(['', '7B', 'B0', 'B', '7', 'B7777', 'ABC1'].map((text) => readPlace(text))).toEqual(Array(7).fill(null))
  })

  it('letters count like a spreadsheet’s columns, checked by counting them out', () => {
    const counted: string[] = []
    const alphabet = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ']
    for (const first of ['', ...alphabet]) for (const second of alphabet) counted.push(first + second)
    expect(Array.from({ length: counted.length }, (_, index) => columnLetters(index + 1))).toEqual(counted)
  })

  it('what is written is read back', () => {
    const number = (max: number) => fc.integer({ min: 1, max })
    fc.assert(
      fc.property(number(702), number(999), (column, row) => {
        expect(readPlace(writePlace({ column, row }))).toEqual({ column, row })
      }),
    )
  })

  it('lies within a map, or beyond it', () => {
    const map = { column: 3, row: 2 }
    expect([within({ column: 3, row: 2 }, map), within({ column: 4, row: 1 }, map)]).toEqual([true, false])
  })

  it('a tray has a map where its size is one that the list takes', () => {
    const tray = (columns: FieldValue, rows: FieldValue): Item => ({ id: 'tray.a', list: 'tray', fields: { columns, rows }, retired: false, tank: null, at: 0 })
    expect(mapOf(tray(60, 1))).toEqual({ column: 60, row: 1 })
    for (const [columns, rows] of [[1e9, 1e9], [61, 1], [0, 4], [-3, 4], [4, null], ['4', 4]] as const) expect(mapOf(tray(columns, rows))).toBeNull()
  })
})
