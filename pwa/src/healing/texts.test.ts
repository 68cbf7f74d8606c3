import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords, setLocale } from '../words/index.ts'
import { verdictOf, type Pair, type Sizes } from './comparison.ts'
import { curveRows } from './curve-rows.ts'
import { diffText, drawingsOf, drawn, span } from './differences.ts'
import { FULL, REPORT } from './examples.ts'
import { chance, daysText, likelyText, rowText, shortDay, type LikelyPiece } from './likely.ts'
import { chipsOf, narrowedText, withValue } from './narrowing.ts'
import { harmless, numbersCsv } from './numbers-csv.ts'
import { seenOf, type PieceBehind } from './pieces.ts'
import { EVERYTHING } from './question.ts'
import { percent, percents, said, subjectOf } from './said.ts'

beforeAll(moreWords)
beforeAll(() => setLocale('en-GB'))

describe('what was seen of a piece', () => {
  const piece: PieceBehind = { id: 'p', code: null, cut: null, cut_day: null, tray: null, place: null, left: 40, right: 47, why: null }

  it('is between two looks: after the one, by the other', () => {
    expect([seenOf('ready', piece), seenOf('lost', piece), seenOf('healing', piece), seenOf('pieces', piece)]).toEqual([
      'Ready between day 41 and 47', 'Lost between day 41 and 47',
      'Last looked at in full on day 40, last seen alive on day 47', 'Looks that count: day 40 and day 47',
    ])
  })

  it('is one day where looks leave one', () => {
    const known = { ...piece, left: 46 }
    expect([seenOf('lost-after-ready', known), seenOf('missing', known), seenOf('withdrawn', { ...piece, left: 47 })]).toEqual([
      'Ready on day 47', 'Lost on day 47', 'Last seen on day 47',
    ])
  })

  it('begins with what became of it in a list of all kinds', () => {
    const fates = ['ready', 'lost', 'healing', 'withdrawn', 'never-checked', null] as const
    const looked = { ...piece, right: 40 }
    expect(fates.map((fate) => seenOf('pieces', { ...(fate === 'ready' || fate === 'lost' ? piece : looked), fate }))).toEqual([
      'Ready between day 41 and 47', 'Lost between day 41 and 47', 'Healing. Last seen on day 40', 'Withdrawn. Last seen on day 40',
      'Never checked. Last seen on day 40', 'Look that counts: day 40',
    ])
    expect(seenOf('healing', { ...looked, fate: 'healing' })).toBe('Last seen on day 40')
    expect(seenOf('pieces', { ...piece, fate: 'eaten' as never })).toBe('Looks that count: day 40 and day 47')
  })

  it('is nothing, or why it is left out', () => {
    const never = { ...piece, left: null, right: null }
    expect([seenOf('never-checked', never), seenOf('excluded', { ...never, why: 'Glued later.' })]).toEqual(['Not looked at since its cut', 'Glued later.'])
  })
})

describe('a difference', () => {
  it('says which way, how much and how sure', () => {
    expect([
      diffText({ least: -25, most: -24, low: null, high: 2 }, 'days'),
      diffText({ least: 40, most: 40, low: 9, high: null }, 'days'),
      diffText({ least: 16.89, most: 16.89, low: 1.3, high: 32.4 }, 'ready'),
      diffText({ least: -0.2, most: 0.3, low: -10, high: 1.2 }, 'lost'),
      diffText({ least: null, most: 12, low: null, high: null }, 'days'),
      diffText({ least: -31, most: -31, low: -57, high: -5 }, 'mean'),
      diffText({ least: -31, most: null, low: null, high: -9 }, 'days'),
      diffText({ least: null, most: -3, low: -9, high: null }, 'ready'),
      diffText({ least: 0, most: 0, low: null, high: 0.4 }, 'days'),
      diffText({ least: 3, most: 5, low: -0.4, high: null }, 'lost'),
      diffText({ least: null, most: null, low: null, high: null }, 'days'),
      diffText(null, 'days'),
    ]).toEqual([
      '24 to 25 days earlier (95 %: at most 2 days later)',
      '40 days later (95 %: at least 9 days later)',
      '17 more (95 %: 1 to 32 more)',
      'as many (95 %: 10 fewer to 1 more)',
      'at most 12 days later, no limits can be given',
      '31 days earlier (95 %: 5 to 57 days earlier)',
      'at most 31 days earlier (95 %: at least 9 days earlier)',
      'at least 3 fewer (95 %: at most 9 fewer)',
      'the same day (95 %: not later)',
      '3 to 5 more (95 %: not fewer)',
      'not known, no limits can be given',
      '–',
    ])
  })

  const diff = { least: 1, most: 2, low: 0, high: 3 }
  const sizes: Sizes = { at_day: 90, days: diff, ready: diff, lost: null }
  const pair = { crude: { ...sizes, days: null }, adjusted: sizes, within: { ...sizes, ready: null, lost: diff } } as unknown as Pair

  it('is shown in the readings that have it; within cuts the days are those of the pieces that got ready', () => {
    const shown = (only?: 'within') => drawingsOf(pair, only).map(({ of, name, lines }) => [of, name, lines.map(({ reading }) => reading).join()])
    expect(shown()).toEqual([
      ['days', 'Days until half are ready', 'adjusted'],
      ['mean', 'Mean day of those that got ready', 'within'],
      ['ready', 'Ready by day 90, of a hundred', 'crude,adjusted'],
      ['lost', 'Lost by day 90, of a hundred', 'within'],
    ])
    expect(shown('within')).toEqual([['mean', 'Mean day of those that got ready', 'within'], ['lost', 'Lost by day 90, of a hundred', 'within']])
    expect(drawingsOf({ ...pair, crude: null, adjusted: null, within: null })).toEqual([])
  })

  it('has a verdict in words where this version knows it', () => {
    expect(['differs', 'not-settled', 'something new', undefined].map((verdict) => verdictOf({ ...pair, verdict } as Pair))).toEqual([
      'differs', 'not-settled', null, null,
    ])
  })

  it('is drawn on a line that holds zero and has room at both ends', () => {
    const diff = { least: -20, most: -10, low: null, high: 5 }
    expect(span([diff])).toEqual({ low: -25, high: 10 })
    expect(drawn(diff, { low: -25, high: 10 }, 70)).toEqual({ from: 0, to: 60, openLow: true, openHigh: false, best: { from: 10, to: 30 } })
    expect(drawn({ least: 4, most: 4, low: null, high: null }, { low: 0, high: 10 }, 10)).toEqual({
      from: 4, to: 4, openLow: false, openHigh: false, best: { from: 4, to: 4 },
    })
    expect(drawn({ least: null, most: null, low: null, high: null }, { low: 0, high: 1 }, 10)).toBeNull()
    expect(span([])).toEqual({ low: -1, high: 1 })
  })
})

describe('a curve in numbers', () => {
  it('has a row a step, of the curve or of its band, up to where it ends', () => {
    const point = (day: number, ready_low: number, ready_high: number) => ({ day, ready_low, ready_high, lost_low: 0.1, lost_high: 0.1 })
    const group = { ...FULL, stops_at: 60, curve: [point(20, 0.2, 0.25), point(50, 0.5, 0.5), point(70, 1, 1)], band: [{ day: 30, low: 0.1, high: 0.4 }] }
    expect(curveRows(group)).toEqual([
      { day: '20', ready: '20 to 25\u00a0%', band: '–', lost: '10\u00a0%' },
      { day: '30', ready: '20 to 25\u00a0%', band: '10 to 40\u00a0%', lost: '10\u00a0%' },
      { day: '50', ready: '50\u00a0%', band: '10 to 40\u00a0%', lost: '10\u00a0%' },
    ])
    expect(curveRows(FULL)).toEqual([])
  })
})

describe('what an answer is narrowed to', () => {
  const asked = { ...EVERYTHING, since: '2026-03-01', until: '2026-04-02', only: ['base:a', 'species:x', 'species:y'] }
  const choices = [{ trait: 'species', value: 'x', name: 'Favites', pieces: 3 }]
  const nameOf = (key: string) => (key === 'a' ? 'Hex' : undefined)

  it('is said in one sentence, values of one trait as alternatives', () => {
    expect(narrowedText(asked, choices, nameOf)).toBe('Only cut from 1 Mar 2026 to 2 Apr 2026; Base: Hex; Species: Favites or y.')
    expect(narrowedText({ ...EVERYTHING, trial: 't', until: '2026-04-02' }, [], nameOf)).toBe('Only the trial t; cut on or before 2 Apr 2026.')
    expect(narrowedText(EVERYTHING, choices, nameOf)).toBeNull()
  })

  it('is taken off one by one', () => {
    expect(chipsOf(asked, choices, nameOf).map(({ what, without }) => [what, without.only.length, without.since, without.until])).toEqual([
      ['cut on or after 1 Mar 2026', 3, null, '2026-04-02'],
      ['cut on or before 2 Apr 2026', 3, '2026-03-01', null],
      ['Base: Hex', 2, '2026-03-01', '2026-04-02'],
      ['Species: Favites', 2, '2026-03-01', '2026-04-02'],
      ['Species: y', 2, '2026-03-01', '2026-04-02'],
    ])
    expect(chipsOf({ ...EVERYTHING, by: 'arm', trial: 't' }, [], nameOf).map(({ without }) => without)).toEqual([EVERYTHING])
  })

  it('takes a value once', () => {
    expect(withValue(withValue(asked, 'base', 'a'), 'base', 'b').only).toEqual(['base:a', 'base:b', 'species:x', 'species:y'])
  })
})

describe('the numbers as a file', () => {
  it('are a row a group, with what was asked, and no formula', () => {
    const named = { ...FULL, name: '=Saw, "wet"', middle: null, loss: null }
    const text = numbersCsv({ ...REPORT, groups: [named], all: { ...FULL, key: 'all', name: 'All pieces' }, only: ['base:a'], since: '2026-01-01' })
    const lines = text.split('\r\n')
    expect(lines).toHaveLength(4)
    expect(lines[0]?.split(',')).toHaveLength(35)
    expect(lines[1]).toBe(`"'=Saw, ""wet""",1096,12,cut,900,4,80,3,100,10,6,2,108,112,98,131,,,40,160,,,,,,,,8,sale,method,,2026-01-01,,base:a,2026-03-01T10:00:00.000Z`)
    expect(lines[2]).toContain(`All pieces,1096,12,cut,900,4,80,3,100,10,6,2,108,112,98,131,88,139,40,160,90,0.079,0.091,0.043,0.156,0.054,0.054,8,`)
  })

  it('has no text that a spreadsheet runs', () => {
    expect(['=1', '+1', '-1', '@a', '\tx', 'a=1'].map(harmless)).toEqual(["'=1", "'+1", "'-1", "'@a", "'\tx", 'a=1'])
  })
})

describe('a likely date', () => {
  const piece: LikelyPiece = { id: 'p', code: null, tray: null, place: null, name: 'Saw', ever: 1, now: 0, day: '2026-03-12', low: '2026-03-03', high: '2026-03-24', outside: false }

  it('is a range, and none for what is outside the model', () => {
    expect(daysText('2026-03-03', '2026-03-24')).toMatch(/^3\s*–\s*24 Mar 2026$/)
    expect(daysText('soon', '2026-03-24')).toBe('soon – 2026-03-24')
    expect(likelyText(piece, 'cut')).toMatch(/^Likely ready to be cut again 3\s*–\s*24 Mar 2026$/)
    expect(likelyText({ ...piece, outside: true, day: null, low: null, high: null }, 'sale')).toMatch(/no date is promised$/)
  })

  it('is short in a row of its list, with the year only where it is far off', () => {
    expect(rowText(piece, '2026-03-01T10:00:00.000Z')).toMatch(/^Around 12 Mar: 3\s*–\s*24 Mar$/)
    expect(rowText({ ...piece, high: '2027-01-04' }, '2026-06-01T10:00:00.000Z')).toBe('Around 12 Mar: 3 Mar – 4 Jan')
    expect(rowText({ ...piece, high: '2027-03-24' }, '2026-03-01T10:00:00.000Z')).toMatch(/^Around 12 Mar: 3 Mar 2026\s*–\s*24 Mar 2027$/)
    expect(rowText({ ...piece, outside: true }, '2026-03-01T10:00:00.000Z')).toMatch(/no date is promised$/)
    expect([shortDay('2026-03-08', '2026-03-01T10:00:00.000Z'), shortDay('2027-03-08', '2026-03-01T10:00:00.000Z'), shortDay('soon', 'now')]).toEqual(['8 Mar', '8 Mar 2027', 'soon'])
  })

  it('is never certain', () => {
    expect([0, 0.004, 0.34, 0.997, 1].map(chance)).toEqual(['under 1\u00a0%', 'under 1\u00a0%', '34\u00a0%', 'over 99\u00a0%', 'over 99\u00a0%'])
  })
})

describe('what the server says', () => {
  it('has its dates as the phone writes them, and numbers that stay with their sign', () => {
    expect(said('Saw, 2026-01-17: 95 % between 3 and 4.')).toBe('Saw, 17 Jan 2026: 95\u00a0% between 3 and 4.')
    expect(subjectOf('Saw', 'Saw: half are ready, 95 %.')).toEqual({ subject: 'Saw: ', rest: 'half are ready, 95\u00a0%.' })
    expect(subjectOf('Saw', 'Of saws nothing is known.')).toEqual({ subject: '', rest: 'Of saws nothing is known.' })
  })

  it('is in whole percent', () => {
    expect([percent(0.005), percents(0.041, 0.156), percents(0.101, 0.099)]).toEqual(['1\u00a0%', '4 to 16\u00a0%', '10\u00a0%'])
  })
})
