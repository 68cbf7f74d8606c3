/** The server's answer to 'when are they ready, and how many are lost?', kept for reading offline. */
import type { Fetch } from '../access/server.ts'
import type { Endpoint } from '../records/fields.ts'
import { fetchOf, keptOf, type Kept as KeptReport, type Source } from './kept-reports.ts'
import { EVERYTHING, isNarrowed, queryOf, type Asked, type By } from './question.ts'

/** Shares of the pieces cut, 0 to 1, until the next point; low and high where the day is open. */
export interface CurvePoint {
  readonly day: number
  readonly ready_low: number
  readonly ready_high: number
  readonly lost_low: number
  readonly lost_high: number
}

export interface BandPoint {
  readonly day: number
  readonly low: number
  readonly high: number
}

/** A share of the pieces cut with its 95 % limits; `least` and `most` are what looks leave open. */
export interface LossShare {
  readonly least: number
  readonly most: number
  readonly low: number
  readonly high: number
}

export interface Group {
  readonly key: string
  readonly name: string
  /** What counts once: a mother in one sitting, or a whole tank. */
  readonly unit: 'cut' | 'tank'
  readonly pieces: number
  readonly cuts: number
  readonly ready: number
  readonly lost: number
  readonly healing: number
  readonly withdrawn: number
  readonly never_checked: number
  /** Of the ready: lost at some later day. */
  readonly lost_after_ready: number
  /** Of the lost: not found, rather than found dead. */
  readonly missing: number
  /** Left out: when they were cut or glued is not known well enough. */
  readonly excluded: number
  /** How much the numbers allow: the range seen, a curve, or a curve with its band. */
  readonly show: 'range' | 'curve' | 'full'
  readonly sentence: string
  /** Days on which pieces were first seen ready. */
  readonly observed: { readonly first: number; readonly last: number } | null
  /** Half are ready after the end of `after`, by the end of `by`. */
  readonly estimate: { readonly after: number; readonly by: number } | null
  /** 95 % range of that day; without `high` at least `low`. */
  readonly median: { readonly low: number; readonly high: number | null } | null
  readonly middle: readonly [number, number] | null
  readonly loss: (LossShare & {
    readonly horizon: number
    /** The same with the missing left out instead of lost, where there are any. */
    readonly missing_withdrawn: LossShare | null
  }) | null
  readonly curve: readonly CurvePoint[]
  readonly band: readonly BandPoint[] | null
  /** From this day on too few pieces were watched to draw the curve. */
  readonly stops_at: number | null
  /** Median days between looks. */
  readonly gap_days: number | null
  readonly notes: readonly string[]
}

/** A value that pieces have of a trait, by which the report can be narrowed. */
export interface Choice {
  readonly trait: string
  readonly value: string
  readonly name: string
  readonly pieces: number
}

export interface Report extends Asked {
  readonly by: By
  readonly endpoint: Endpoint
  readonly made_at: string
  readonly groups: readonly Group[]
  /** Every piece of the groups in one, where there are two groups or more. */
  readonly all: Group | null
  readonly note: readonly string[]
  readonly choices: readonly Choice[]
}

/** Where a group's curve ends: where too few were still watched, else with what was last seen. */
export function lastDay({ curve, stops_at }: Group): number {
  return stops_at ?? curve.at(-1)?.day ?? 0
}

/** A report as this phone has it, with the time it was fetched (ms). */
export type Kept = KeptReport<Report>

/** Kept by an earlier version, a share lost was one number. */
function isGroup(value: Partial<Group> | null): boolean {
  return value?.loss === null || typeof value?.loss?.least === 'number'
}

function isReport(value: unknown): value is Report {
  const found = value as Partial<Report> | null
  return (
    Array.isArray(found?.groups) && found.groups.every(isGroup) && Array.isArray(found.choices) && Array.isArray(found.only) &&
    Array.isArray(found.note) && found.all !== undefined && typeof found.endpoint === 'string'
  )
}

/** What the server is asked, and under which name its answer is kept. */
export interface Question {
  readonly name: string
  readonly query: string
}

function sourceOf({ name, query }: Question, passing = false): Source<Report> {
  return { name, path: `/api/healing?${query}`, ours: isReport, passing }
}

/** Where the answer to a question of this screen comes from. */
export function reportOf(asked: Asked): Source<Report> {
  const query = queryOf(asked)
  const name = isNarrowed(asked) ? `nubbin.healing?${query}` : `nubbin.healing.${asked.by}.${asked.endpoint}`
  return sourceOf({ name, query }, isNarrowed(asked))
}

export function keptAnswer(question: Question): Kept | null {
  return keptOf(sourceOf(question))
}

/** Ask the server and keep its answer. Throws ServerError; what was kept before then stands. */
export function fetchAnswer(fetcher: Fetch, question: Question): Promise<Kept> {
  return fetchOf(fetcher, sourceOf(question))
}

export function keptReport(by: By, endpoint: Endpoint): Kept | null {
  return keptOf(reportOf({ ...EVERYTHING, by, endpoint }))
}

export function fetchReport(fetcher: Fetch, by: By, endpoint: Endpoint): Promise<Kept> {
  return fetchOf(fetcher, reportOf({ ...EVERYTHING, by, endpoint }))
}
