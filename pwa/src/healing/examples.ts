/** Invented answers for the tests of this folder. */
import { EVERYTHING } from './question.ts'
import type { Group, Report } from './report.ts'

export const FULL: Group = {
  key: 'method.band-saw', name: 'Band saw', unit: 'cut', pieces: 1096, cuts: 12, ready: 900, lost: 80, healing: 100,
  withdrawn: 10, never_checked: 6, lost_after_ready: 4, missing: 3, excluded: 2, show: 'full', sentence: '',
  observed: { first: 40, last: 160 }, estimate: { after: 108, by: 112 }, median: { low: 98, high: 131 }, middle: [88, 139],
  loss: {
    least: 0.079, most: 0.091, low: 0.043, high: 0.156, horizon: 90,
    missing_withdrawn: { least: 0.054, most: 0.054, low: 0.023, high: 0.12 },
  },
  curve: [], band: null, stops_at: null, gap_days: 8, notes: [],
}

export const REPORT: Report = {
  ...EVERYTHING, made_at: '2026-03-01T10:00:00.000Z', groups: [FULL], all: null, note: [], choices: [],
}
