/** What the server has worked out, kept for reading offline with the time it was fetched. */
import { ask, type Fetch } from '../access/server.ts'
import { drop, keep, kept } from '../kit/kept.ts'

export interface Kept<T> {
  /** When it was fetched, in milliseconds. */
  readonly at: number
  readonly report: T
}

/** Where a report comes from, and under which name it is kept. */
export interface Source<T> {
  readonly name: string
  readonly path: string
  readonly ours: (value: unknown) => value is T
  /** One of a great many: the last few of these are kept, and no more. */
  readonly passing?: boolean
}

const PASSING = 'nubbin.healing.passing'
export const MOST_PASSING = 16

export function keptOf<T>({ name, ours }: Source<T>): Kept<T> | null {
  const found = kept<Partial<Kept<unknown>> | null>(name)
  return typeof found?.at === 'number' && ours(found.report) ? { at: found.at, report: found.report } : null
}

/** Ask the server and keep its answer. Throws ServerError; what was kept before then stands. */
export async function fetchOf<T>(fetcher: Fetch, { name, path, ours, passing = false }: Source<T>): Promise<Kept<T>> {
  const found = { at: Date.now(), report: await ask(fetcher, path, ours) }
  if (passing) makeRoom(name)
  keep(name, found)
  return found
}

function makeRoom(name: string): void {
  const before = kept<unknown>(PASSING)
  const names = (Array.isArray(before) ? before : []).filter((one) => typeof one === 'string' && one !== name) as string[]
  const now = [...names, name]
  for (const old of now.slice(0, -MOST_PASSING)) drop(old)
  keep(PASSING, now.slice(-MOST_PASSING))
}
