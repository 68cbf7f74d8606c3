import { describe, expect, it } from 'vitest'
import type { CurvePoint } from '../healing/report.ts'
import { start, type PieceState } from '../stock/state.ts'
import type { PieceView } from '../sync/views.ts'
import type { Curves } from './curves.ts'
import { later, now, type Filled, type Known } from './free-places.ts'
import { trayMap } from './tray-map.ts'

const TODAY = '2026-03-01'
const READY = { record: 'r', after: null, by: '2026-02-20' }

function piece(id: string, place: string | null, changes: Partial<PieceState> = {}): PieceView {
  const state: PieceState = { ...start(id), stage: 'healing', cut: 'cut.1', purpose: 'sale', tray: 'tray.a', place, looked: '2026-02-10', alive: '2026-02-10', ...changes }
  return { id, state, code: null, species: null, line: null, number: { base: 0, plus: 1 }, tank: null }
}

const filled = (column: number, row: number, pieces: readonly PieceView[]): Filled => ({ places: column * row, map: trayMap(pieces, { column, row }) })
const point = (day: number, ready: number, lost: number): CurvePoint => ({ day, ready_low: ready, ready_high: ready, lost_low: lost, lost_high: lost })
// Cut on 20 January, day 40 today, last seen on day 21: nothing has left by then.
const CURVE = { points: [point(0, 0, 0), point(60, 0.4, 0.1), point(90, 0.8, 0.1)], end: 90 }
const curves = (curve = CURVE): Curves => ({ byMethod: new Map([['saw', curve]]), pooled: curve })
const known = (changes: Partial<Known> = {}): Known => ({ curves: curves(), cuts: new Map([['cut.1', { day: '2026-01-20', method: 'saw' }]]), today: TODAY, ...changes })

describe('free places now', () => {
  it('are those at which nothing stands, and those that can be freed at once', () => {
    const ready = { stage: 'ready', ready_sale: READY } as const
    const tray = filled(3, 2, [piece('a', 'A1'), piece('b', 'B1', ready), piece('c', 'C1', { ...ready, purpose: 'hold' }), piece('d', null, ready)])
    expect(now([tray])).toEqual({ free: 2, leavable: 2 })
    expect(now([tray, filled(1, 1, [])])).toEqual({ free: 3, leavable: 2 })
    // More pieces than places: one that leaves frees none.
    expect(now([filled(1, 1, [piece('a', 'A1'), piece('b', null, ready)])])).toEqual({ free: 0, leavable: 0 })
    // Two at one place by mistake: the place is free when both have left.
    expect(now([filled(1, 1, [piece('a', 'A1', ready), piece('b', 'A1')])])).toEqual({ free: 0, leavable: 0 })
  })
})

describe('free places in some weeks', () => {
  it('have the range of as many coins as pieces heal', () => {
    // On day 68 half have left: 4 coins on 6 places.
    const tray = filled(3, 2, ['A1', 'B1', 'C1', 'A2'].map((place) => piece(place, place)))
    expect(later([tray], known(), 4)).toEqual({ weeks: 4, open: 4, unknown: 0, low: 3, high: 5, expected: { low: 4, high: 4 } })
    const two = later([tray, tray], known(), 4)
    // 8 coins: P(at most 2) = 37/256, P(at most 1) = 9/256; P(at most 6) = 247/256, P(at most 5) = 219/256.
    expect([two.low, two.high, two.expected.low]).toEqual([4 + 2, 4 + 6, 8])
  })

  it('count what is ready as gone, losses alone of what is held back, and no colony', () => {
    const gone = piece('a', 'A1', { stage: 'ready', ready_sale: READY })
    const kept = [piece('b', 'B1', { stage: 'colony' }), piece('c', 'C1', { stage: 'ready', ready_cut: READY, purpose: 'hold' }), piece('d', 'D1', { cuts: 1 })]
    expect(later([filled(4, 1, [gone, ...kept])], known(), 12)).toEqual({ weeks: 12, open: 0, unknown: 0, low: 1, high: 1, expected: { low: 1, high: 1 } })
    const held = later([filled(1, 1, [piece('e', 'A1', { purpose: 'hold' })])], known(), 4)
    expect([held.open, held.expected.low, held.low, held.high]).toEqual([1, 0.1, 0, 0])
  })

  it('are not known where the curve stops, the cut is not here or there is no report', () => {
    const tray = filled(2, 2, [piece('a', 'A1'), piece('b', 'B1', { cut: 'cut.2' })])
    expect(later([tray], known(), 4)).toMatchObject({ open: 2, unknown: 1, low: 2, high: 3 })
    expect(later([tray], known(), 8)).toMatchObject({ open: 2, unknown: 2, low: 2, high: 2 })
    expect(later([tray], known({ curves: null }), 4)).toMatchObject({ open: 2, unknown: 2 })
    // Its method has no curve of its own: that of all methods stands in.
    expect(later([tray], known({ curves: { byMethod: new Map(), pooled: CURVE } }), 4)).toMatchObject({ open: 2, unknown: 1 })
  })

  it('at a place with two, both must have left', () => {
    const two = filled(1, 1, [piece('a', 'A1'), piece('b', 'A1')])
    expect(later([two], known(), 4).expected.low).toBeCloseTo(0.25, 12)
    expect(later([filled(1, 1, [piece('a', 'A1'), piece('b', 'A1', { stage: 'colony' })])], known(), 4)).toMatchObject({ open: 0, high: 0 })
  })

  it('hold for made-up farms as often as the range says', () => {
    let seed = 7
    const random = () => (seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31) / 2 ** 31
    const tray = filled(6, 5, Array.from({ length: 24 }, (_, at) => piece(`p${at}`, `${'ABCDEF'[at % 6]}${1 + Math.floor(at / 6)}`)))
    const found = later([tray], known(), 4)
    let within = 0
    for (let farm = 0; farm < 4000; farm += 1) {
      const free = 6 + Array.from({ length: 24 }, random).filter((one) => one < 0.5).length
      if (free >= found.low && free <= found.high) within += 1
    }
    expect([found.low, found.high]).toEqual([15, 21])
    expect(within / 4000).toBeGreaterThan(0.8)
    expect(within / 4000).toBeLessThan(0.9)
  })
})
