import { beforeAll, describe, expect, it } from 'vitest'
import { checkCharacter } from '../label/code.ts'
import type { Item } from '../stock/lists.ts'
import { BLANK, readArrival } from './arrival.ts'
import { moreWords } from '../words/index.ts'

beforeAll(moreWords)

const tray: Item = { id: 'tray.a1', list: 'tray', fields: { name: 'Tray A1', columns: 4, rows: 3 }, retired: false, at: 0, tank: null }
const find = (id: string) => (id === tray.id ? tray : undefined)
const TODAY = '2026-03-01'
const code = `4JQZKDM${checkCharacter('4JQZKDM')}`
const least = { ...BLANK, species: 'species.x', line: ' Amber ' }

describe('a mother that arrives', () => {
  it('keeps only what was typed', () => {
    expect(readArrival(least, find, TODAY)).toEqual({
      ok: true, arrival: { line: 'Amber', species: 'species.x', origin: 'unknown' }, move: null,
    })
  })

  it('everything typed is kept as typed', () => {
    const draft = {
      ...least, origin: 'farmed' as const, number: '3', documents: 'Permit 12\n\n Invoice 7 ', mouths: '0',
      size: '85', code: code.toLowerCase(), tray: 'tray.a1', place: 'c2', quarantine: '45', from: ' Reef 4 ',
      on: '2026-02-27', document: 'P 12/26', source: 'C' as const,
    }
    expect(readArrival(draft, find, TODAY)).toEqual({
      ok: true,
      arrival: {
        line: 'Amber', species: 'species.x', origin: 'farmed', documents: ['Permit 12', 'Invoice 7'],
        cut_number: 3, mouths: 0, size_mm: 85, code, quarantine_days: 45, came_from: 'Reef 4',
        came_on: '2026-02-27', document: 'P 12/26', source_code: 'C',
      },
      move: { tray: 'tray.a1', place: 'C2' },
    })
  })

  it('may stand in a tank without a tray', () => {
    const read = readArrival({ ...least, tank: 'tank.south' }, find, TODAY)
    expect(read.ok && read.move).toEqual({ tank: 'tank.south' })
  })

  it('a wild colony takes no typed number', () => {
    const read = readArrival({ ...least, origin: 'wild', number: '3' }, find, TODAY)
    expect(read.ok && 'cut_number' in read.arrival).toBe(false)
  })

  it('says what is wrong and that nothing was saved', () => {
    const wrong = [
      { line: '' }, { species: null }, { number: 'two' }, { mouths: '-1' }, { size: '0' },
      { code: `${code.slice(0, 7)}2` }, { tray: 'tray.a1', place: 'E1' }, { tray: 'tray.a1', place: '?' },
      { quarantine: 'long' }, { on: '2026-03-02' },
    ].map((changes) => readArrival({ ...least, ...changes }, find, TODAY))
    expect(wrong.map((read) => read.ok)).toEqual(Array(10).fill(false))
    for (const read of wrong) expect(read.ok ? '' : read.why).toMatch(/Nothing was (saved|moved)/)
    expect(wrong[6]).toEqual({ ok: false, why: 'Tray A1 has places A1 to D3. Nothing was moved yet.' })
  })
})
