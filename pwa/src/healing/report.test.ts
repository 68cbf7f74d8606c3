import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { NotOurs } from '../access/server.ts'
import { trialStorage } from '../kit/trial-storage.ts'
import { comparisonOf } from './comparison.ts'
import { REPORT } from './examples.ts'
import { fetchOf, keptOf, MOST_PASSING } from './kept-reports.ts'
import { likelyOf } from './likely.ts'
import { nextPieces, piecesOf } from './pieces.ts'
import { EVERYTHING } from './question.ts'
import { fetchReport, keptReport, reportOf } from './report.ts'
import { WARNINGS } from './warnings.ts'

beforeEach(() => vi.stubGlobal('localStorage', trialStorage()))
afterEach(() => vi.unstubAllGlobals())

const asked: string[] = []
const answering = (body: unknown): typeof fetch => (path) => {
  asked.push(String(path))
  return Promise.resolve(Response.json(body))
}
const narrowed = { ...EVERYTHING, only: ['base:a'] }

describe('a report', () => {
  it('is kept for reading offline, with the time it was fetched', async () => {
    const found = await fetchReport(answering(REPORT), 'method', 'sale')
    expect(found.report).toEqual(REPORT)
    expect(keptReport('method', 'sale')).toEqual(found)
    expect(keptReport('base', 'sale')).toBeNull()
    expect(asked.at(-1)).toBe('/api/healing?by=method&endpoint=sale')
  })

  it('that was narrowed is kept apart from the whole one', async () => {
    await fetchOf(answering({ ...REPORT, only: ['base:a'] }), reportOf(narrowed))
    expect(keptReport('method', 'sale')).toBeNull()
    expect(keptOf(reportOf(narrowed))?.report.only).toEqual(['base:a'])
  })

  it('of an earlier version, without what is shown now, is fetched anew', () => {
    const { choices: _choices, all: _all, only: _only, ...old } = REPORT
    localStorage.setItem('nubbin.healing.method.sale', JSON.stringify({ at: 1, report: old }))
    expect(keptReport('method', 'sale')).toBeNull()
  })

  it('makes room for the next: only the last few that were narrowed stay, and the whole ones all', async () => {
    await fetchReport(answering(REPORT), 'method', 'sale')
    const sources = Array.from({ length: MOST_PASSING + 2 }, (_, at) => reportOf({ ...EVERYTHING, only: [`base:${at}`] }))
    for (const source of sources) await fetchOf(answering(REPORT), source)
    expect(sources.map((source) => keptOf(source) !== null)).toEqual([false, false, ...Array<boolean>(MOST_PASSING).fill(true)])
    expect(keptReport('method', 'sale')).not.toBeNull()
  })
})

const PIECES = { name: 'All', of: 'lost', total: 1, pieces: [{ id: 'p' }], after: 'p' }
const PAIR = {
  drawn: null, sentence: 's', one_name: 'a', other_name: 'b', adjusted_for: [], not_adjusted: [], warnings: [], crude: null, adjusted: null,
  within: null, ready_odds: null, lost_odds: null,
}
const COMPARISON = { pairs: [PAIR], note: [] }
const WARNED = { note: [], units: [{ key: 'c', sentence: 's', level: 'look' }], false_alarms: 'few' }
const LIKELY = { note: [], pieces: [{ id: 'p', ever: 1, now: 0, day: null }], weeks: [], already: 0 }
const pieces = { ...narrowed, group: 'all', of: 'lost' } as const

describe('what else the server works out', () => {
  it.each([
    ['pieces', piecesOf(pieces), PIECES, '/api/healing/pieces?by=method&endpoint=sale&only=base%3Aa&group=all&of=lost'],
    ['comparison', comparisonOf(narrowed), COMPARISON, '/api/healing/comparison?by=method&endpoint=sale&only=base%3Aa'],
    ['warnings', WARNINGS, WARNED, '/api/healing/warnings'],
    ['likely', likelyOf('cut'), LIKELY, '/api/healing/likely?endpoint=cut'],
  ] as const)('is asked for and kept: %s', async (_name, source, body, path) => {
    const found = await fetchOf<unknown>(answering(body), source as never)
    expect([asked.at(-1), found.report, keptOf<unknown>(source as never)]).toEqual([path, body, found])
  })

  it.each([
    ['pieces', piecesOf(pieces), { ...PIECES, pieces: [{}] }],
    ['pairs', comparisonOf(narrowed), { ...COMPARISON, pairs: [{ ...PAIR, crude: undefined }] }],
    ['pairs without what was drawn', comparisonOf(narrowed), { ...COMPARISON, pairs: [{ ...PAIR, drawn: undefined }] }],
    ['warnings', WARNINGS, { ...WARNED, units: [{ key: 'c' }] }],
    ['likely', likelyOf('sale'), { ...LIKELY, pieces: [{ id: 'p' }] }],
    ['nothing', WARNINGS, null],
  ] as const)('is not ours in another shape: %s', async (_name, source, body) => {
    await expect(fetchOf<unknown>(answering(body), source as never)).rejects.toThrow(NotOurs)
    expect(keptOf<unknown>(source as never)).toBeNull()
  })

  it('comes page by page where it is long', async () => {
    expect((await nextPieces(answering(PIECES), pieces, 'p')).after).toBe('p')
    expect(asked.at(-1)).toContain('&group=all&of=lost&after=p')
  })
})
