/** What sheets there are and having them printed; codes are made by the server alone. */
import { ask, askFile, Declined, NoAnswer, type Fetch, type ServerError } from '../access/server.ts'
import { t } from '../words/index.ts'

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
  readonly is_default?: boolean
  readonly warnings?: readonly string[]
}

export interface Order {
  readonly geometry: string
  readonly count: number
  /** First free position, from 1, row by row. */
  readonly start: number
  readonly size_mm: number | null
}

export interface Printed {
  readonly pdf: Blob
  readonly first: string | null
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

/** New codes on a sheet. Throws ServerError; a Declined with code `host-missing` wants Setup first. */
export async function printSheet(fetcher: Fetch, order: Order): Promise<Printed> {
  const response = await askFile(fetcher, '/api/labels/sheet', 'application/pdf', order)
  return { pdf: await response.blob(), first: response.headers.get('Nubbin-First-Code') }
}

export function hostMissing(error: ServerError): boolean {
  return error instanceof Declined && error.problem.code === 'host-missing'
}

/** What happened, what was kept, what to do. */
export function printProblem(error: ServerError): string {
  return error instanceof NoAnswer ? t('labels.offline.body') : t('labels.failed', { detail: error.message })
}
