/** The server's answer to 'when are they ready, and how many are lost?', kept for reading offline. */
import { ask, type Fetch } from '../access/server.ts'
import { keep, kept } from '../kit/kept.ts'
import type { Endpoint } from '../records/fields.ts'

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

export interface Group {
  readonly key: string
  readonly name: string
  readonly pieces: number
  readonly cuts: number
  readonly ready: number
  readonly lost: number
  readonly healing: number
  readonly withdrawn: number
  readonly never_checked: number
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
  readonly loss: {
    readonly lost: number
    readonly of: number
    readonly share: number
    readonly low: number
    readonly high: number
    readonly horizon: number
  } | null
  readonly curve: readonly CurvePoint[]
  readonly band: readonly BandPoint[] | null
  /** From this day on too few pieces were watched to draw the curve. */
  readonly stops_at: number | null
  readonly notes: readonly string[]
}

export interface Report {
  readonly by: string
  readonly endpoint: Endpoint
  readonly made_at: string
  readonly groups: readonly Group[]
  readonly note: readonly string[]
}

/** Where a group's curve ends: where too few were still watched, else with what was last seen. */
export function lastDay({ curve, stops_at }: Group): number {
  return stops_at ?? curve.at(-1)?.day ?? 0
}

export const BY = ['method', 'species', 'base', 'blade', 'purpose'] as const
export type By = (typeof BY)[number]

/** A report as this phone has it, with the time it was fetched (ms). */
export interface Kept {
  readonly at: number
  readonly report: Report
}

function isReport(value: unknown): value is Report {
  const found = value as Partial<Report> | null
  return Array.isArray(found?.groups) && typeof found.endpoint === 'string'
}

/** What the server is asked, and under which name its answer is kept. */
export interface Question {
  readonly name: string
  readonly query: string
}

function sorted(by: By, endpoint: Endpoint): Question {
  return { name: `nubbin.healing.${by}.${endpoint}`, query: `by=${by}&endpoint=${endpoint}` }
}

export function keptAnswer({ name }: Question): Kept | null {
  const found = kept<Kept>(name)
  return found && isReport(found.report) ? found : null
}

/** Ask the server and keep its answer. Throws ServerError; what was kept before then stands. */
export async function fetchAnswer(fetcher: Fetch, { name, query }: Question): Promise<Kept> {
  const report = await ask(fetcher, `/api/healing?${query}`, isReport)
  const found = { at: Date.now(), report }
  keep(name, found)
  return found
}

export function keptReport(by: By, endpoint: Endpoint): Kept | null {
  return keptAnswer(sorted(by, endpoint))
}

export function fetchReport(fetcher: Fetch, by: By, endpoint: Endpoint): Promise<Kept> {
  return fetchAnswer(fetcher, sorted(by, endpoint))
}
