/** What the server does about labels: sheets, verdicts, codes, prints and voids. Codes are its own alone. */
import { ask, askFile, Declined, NoAnswer, type Fetch, type ServerError } from '../access/server.ts'
import type { components } from '../api/schema'
import type { Key } from '../records/fields.ts'
import { t } from '../words/index.ts'

type Schemas = components['schemas']
export type Words = 'code' | 'caption' | 'name'

/** Lengths in mm. Where the labels lie is known only if the server says so; see `layout.ts`. */
export interface Geometry {
  readonly id: string
  readonly page: string
  readonly columns: number
  readonly rows: number
  readonly label_width: number
  readonly label_height: number
  readonly page_width?: number
  readonly page_height?: number
  readonly pitch_x?: number
  readonly pitch_y?: number
  readonly left?: number
  readonly top?: number
  readonly round?: boolean
  readonly name?: string
  readonly own?: boolean
  readonly is_default?: boolean
  /** The first position free after the last print on it. */
  readonly next_start?: number
  readonly warnings?: readonly string[]
  /** Why an own one cannot be printed on. */
  readonly problem?: string | null
}

/** On what, from where, how large, by which printer. */
export interface How {
  readonly geometry: string
  /** First free position, from 1, row by row. */
  readonly start: number
  readonly size_mm: number | null
  readonly printer: Key | null
}

export interface Order extends How {
  readonly count: number
  readonly words: Words
  readonly said: readonly string[]
}

export type Ordered = Schemas['Ordered']
export type Reads = Schemas['Readability']
export type Tally = Schemas['Tally']
export type Account = Schemas['Account']
export type Voided = Schemas['Voided']

export interface Printed {
  readonly pdf: Blob
  readonly first: string | null
}

/** Ten thousand labels take longer than the patience that other questions are given. */
const PATIENCE_MS = 300_000
const patient = (fetcher: Fetch): Fetch => (path, init) =>
  fetcher(path, { ...init, signal: AbortSignal.timeout(PATIENCE_MS) })

function has<T>(...names: string[]): (value: unknown) => value is T {
  return (value): value is T => typeof value === 'object' && value !== null && names.every((name) => name in value)
}

function areGeometries(value: unknown): value is Geometry[] {
  return (
    Array.isArray(value) &&
    value.every((one: Partial<Geometry> | null) => typeof one?.id === 'string' && typeof one.columns === 'number')
  )
}

export function fetchGeometries(fetcher: Fetch): Promise<Geometry[]> {
  return ask(fetcher, '/api/labels/geometries', areGeometries)
}

/** How labels will read, before a code is spent on them. */
export function fetchReads(fetcher: Fetch, how: How, words: Words): Promise<Reads> {
  return ask(fetcher, '/api/labels/verdict', has<Reads>('level', 'reach_mm'), { ...how, count: 1, words })
}

/** New codes, in order; nothing is printed yet. */
export function orderLabels(fetcher: Fetch, order: Order): Promise<Ordered> {
  return ask(patient(fetcher), '/api/labels/prints', has<Ordered>('id', 'codes'), order)
}

/** The sheet of codes that were ordered: now, or once more. Void ones are left out. */
export async function printCodes(
  fetcher: Fetch,
  print: string,
  how: How,
  which: 'unbound' | 'standing',
  only: readonly string[] = [],
): Promise<Printed> {
  const path = `/api/labels/prints/${encodeURIComponent(print)}/sheet`
  const response = await askFile(patient(fetcher), path, 'application/pdf', { ...how, which, only })
  const first = /labels-([2-9A-Z]{8})\.pdf/.exec(response.headers.get('content-disposition') ?? '')
  return { pdf: await response.blob(), first: first?.[1] ?? null }
}

export function fetchPrints(fetcher: Fetch, before?: number): Promise<Schemas['Prints']> {
  const query = before === undefined ? '' : `?before=${before}`
  return ask(fetcher, `/api/labels/prints${query}`, has<Schemas['Prints']>('prints', 'more'))
}

export function fetchPrint(fetcher: Fetch, id: string, after = 0): Promise<Schemas['PrintView']> {
  const path = `/api/labels/prints/${encodeURIComponent(id)}?after=${after}`
  return ask(fetcher, path, has<Schemas['PrintView']>('print', 'codes'))
}

/** The unbound codes of a print, or one code, are void from now on. */
export function voidLabels(
  fetcher: Fetch,
  what: { readonly print: string } | { readonly codes: readonly string[] },
  why: string,
): Promise<Voided> {
  return ask(fetcher, '/api/labels/void', has<Voided>('voided', 'bound'), { why, ...what })
}

export function hostMissing(error: ServerError): boolean {
  return error instanceof Declined && error.problem.code === 'host-missing'
}

/** What happened, what was kept, what to do. */
export function printProblem(error: ServerError): string {
  return error instanceof NoAnswer ? t('labels.offline.body') : t('labels.failed', { detail: error.message })
}
