import { describe, expect, it } from 'vitest'
import { daysBetween, isZone, localDay } from './days.ts'
import { fixture } from './fixtures.ts'

interface Days {
  readonly cases: readonly { name: string; zone: string; at: number; day: string }[]
  readonly between: readonly [string, string, number][]
}
const { cases, between } = fixture<Days>('days/days.json')

describe('local days', () => {
  it.each(cases.filter((one) => !one.name.startsWith('random')))('$name', ({ zone, at, day }) => {
    expect(localDay(at, zone)).toBe(day)
  })

  it('are those of Python for moments by chance', () => {
    const random = cases.filter((one) => one.name.startsWith('random'))
    expect(random.length).toBeGreaterThan(300)
    expect(random.map(({ zone, at }) => localDay(at, zone))).toEqual(random.map((one) => one.day))
  })

  it.each(between)('from %s to %s are %i', (from, to, days) => {
    expect(daysBetween(from, to)).toBe(days)
  })

  it('knows a zone from a slip', () => {
    expect(isZone('Indian/Maldives')).toBe(true)
    expect(isZone('Indian/Maldive')).toBe(false)
    expect(() => localDay(0, 'Indian/Maldive')).toThrow(RangeError)
  })
})
