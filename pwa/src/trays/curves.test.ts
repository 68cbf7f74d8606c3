import { describe, expect, it } from 'vitest'
import { EVERYTHING } from '../healing/question.ts'
import type { CurvePoint, Group, Report } from '../healing/report.ts'
import { curvesOf, isLost, leaves, type Curve } from './curves.ts'

const point = (day: number, ready: number | [number, number], lost: number | [number, number]): CurvePoint => {
  const [[ready_low, ready_high], [lost_low, lost_high]] = [ready, lost].map((one) => (typeof one === 'number' ? [one, one] : one)) as [[number, number], [number, number]]
  return { day, ready_low, ready_high, lost_low, lost_high }
}

function report(groups: readonly { key: string; pieces?: number; curve: readonly CurvePoint[] }[]): Report {
  const made = groups.map((group) => ({ pieces: 10, ...group }) as unknown as Group)
  return { ...EVERYTHING, made_at: '2026-03-01T10:00:00.000Z', groups: made, all: null, note: [], choices: [] }
}

const SAW = [point(0, 0, 0), point(40, 0.2, 0.1), point(60, 0.5, 0.1), point(90, 0.7, 0.2)]
const only = (curve: readonly CurvePoint[]): Curve => curvesOf(report([{ key: 'saw', curve }])).byMethod.get('saw') as Curve
const at = (looked: number, alive = looked) => ({ looked, alive })

describe('the chance to have left its place', () => {
  it('is the share that leaves after its last look, of those seen as late as that', () => {
    const saw = only(SAW)
    expect(leaves(saw, at(0), 60)).toEqual({ low: 0.6, high: 0.6 })
    // (0.9 - 0.3) / (1 - 0.3)
    expect(leaves(saw, at(45), 90)?.low).toBeCloseTo(6 / 7, 12)
    // Last looked at on day 45 and swept on day 70: (0.9 - 0.2 - 0.1) / (1 - 0.2 - 0.1) and, lost, (0.2 - 0.1) / 0.7.
    expect(leaves(saw, at(45, 70), 90)?.high).toBeCloseTo(6 / 7, 12)
    expect(isLost(saw, at(45, 70), 90)?.low).toBeCloseTo(1 / 7, 12)
    expect(leaves(saw, at(60), 60)).toEqual({ low: 0, high: 0 })
  })

  it('is what a count of made-up pieces gives that leave as the curve says', () => {
    const days = [...new Array(200).fill(40), ...new Array(300).fill(60), ...new Array(200).fill(90), ...new Array(100).fill(999)]
    const lost = [...new Array(100).fill(40), ...new Array(100).fill(90)]
    const all = [...days.map((day) => ({ day, lost: false })), ...lost.map((day) => ({ day, lost: true }))]
    for (const [looked, alive, until] of [[0, 0, 40], [10, 39, 89], [40, 40, 60], [41, 75, 90], [59, 60, 90]] as const) {
      const seen = all.filter((one) => one.day > (one.lost ? alive : looked))
      const gone = seen.filter((one) => one.day <= until)
      expect(leaves(only(SAW), at(looked, alive), until)?.low).toBeCloseTo(gone.length / seen.length, 12)
      expect(isLost(only(SAW), at(looked, alive), until)?.high).toBeCloseTo(gone.filter((one) => one.lost).length / seen.length, 12)
    }
  })

  it('is between its lowest and highest where looks leave the curve open', () => {
    const open = only([point(0, 0, 0), point(30, [0, 0.4], [0, 0.1]), point(50, 0.4, 0.1)])
    expect(leaves(open, at(0), 40)).toEqual({ low: 0, high: 0.5 })
    expect(leaves(open, at(35), 50)).toEqual({ low: 0, high: 0.5 })
    expect(isLost(open, at(0), 40)).toEqual({ low: 0, high: 0.1 })
  })

  it('is not known beyond the curve, nor of a piece that outlived all that was seen', () => {
    const saw = only(SAW)
    expect([leaves(saw, at(40), 91), leaves(saw, at(91), 91), isLost(saw, at(10), 100)]).toEqual([null, null, null])
    const whole = only([point(0, 0, 0), point(80, 0.8, 0.2)])
    expect(leaves(whole, at(79), 500)).toEqual({ low: 1, high: 1 })
    expect(leaves(whole, at(80), 500)).toBeNull()
  })
})

describe('the curves of a report', () => {
  const shears = { key: 'shears', pieces: 10, curve: [point(0, 0, 0), point(50, 0.4, 0.2), point(70, 0.4, 0.2)] }
  const both = report([{ key: 'saw', pieces: 30, curve: SAW }, shears, { key: 'wire', pieces: 2, curve: [] }])

  it('are one a method that has one, and that of all pieces as the server estimates it', () => {
    const all = { pieces: 42, curve: [point(0, 0, 0), point(45, 0.3, 0.1), point(80, 0.6, 0.2)] } as unknown as Group
    const { byMethod, pooled } = curvesOf({ ...both, all })
    expect([...byMethod.keys()]).toEqual(['saw', 'shears'])
    expect(pooled).toEqual({ points: all.curve, end: 80 })
    expect(leaves(pooled as Curve, at(0), 60)?.low).toBeCloseTo(0.4, 12)
  })

  it('are one for all where there is one method, and none where none was drawn of all', () => {
    expect(curvesOf(report([shears])).pooled).toEqual({ points: shears.curve, end: 70 })
    expect(curvesOf(report([{ key: 'wire', curve: [] }])).pooled).toBeNull()
    expect(curvesOf(both).pooled).toBeNull()
    expect(curvesOf({ ...both, all: { pieces: 42, curve: [] } as unknown as Group }).pooled).toBeNull()
    expect(curvesOf(report([])).pooled).toBeNull()
  })
})
