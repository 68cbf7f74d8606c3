import { describe, expect, it } from 'vitest'
import { quarantine } from './quarantine.ts'
import { start, type PieceState } from './state.ts'

const begun = { kind: 'arrival', record: 'r', at: 0, day: '2026-02-20' } as const
const colony = (changes: Partial<PieceState>): PieceState => ({ ...start('p'), begun, quarantine_days: 30, ...changes })

describe('quarantine', () => {
  it('counts from the day of arriving, over the end of a month', () => {
    expect(quarantine(colony({}), '2026-02-20')).toEqual({ day: 0, of: 30, until: '2026-03-22' })
    expect(quarantine(colony({}), '2026-03-21')).toEqual({ day: 29, of: 30, until: '2026-03-22' })
    expect(quarantine(colony({}), '2026-03-22')).toBe(null)
  })

  it('is none where none was set, for a glued piece, and for what is gone', () => {
    expect(quarantine(colony({ quarantine_days: null }), '2026-02-21')).toBe(null)
    expect(quarantine(colony({ quarantine_days: 0 }), '2026-02-20')).toBe(null)
    expect(quarantine(colony({ begun: { ...begun, kind: 'glue' } }), '2026-02-21')).toBe(null)
    expect(quarantine(colony({ exit: { record: 'x', day: '2026-02-21', how: 'culled', to: null } }), '2026-02-22')).toBe(null)
  })
})
