/** How many cuts a trial takes: the server's answer, out of the farm's own spread. */
import { ask, type Fetch } from '../access/server.ts'
import { readWhole } from '../cuts/numbers.ts'
import type { Find } from '../stock/view.ts'
import { armsProblem, readDifference, type TrialDraft } from './planning.ts'

export type Missing = 'pieces' | 'share' | 'spread'

export interface TrialSize {
  readonly basis: 'farm' | 'typed' | 'none'
  readonly difference: number
  /** What the farm's records do not tell, so that it must be typed. */
  readonly missing: readonly Missing[]
  /** `cuts` null: too many, or no such share. */
  readonly sizes: readonly { readonly difference: number; readonly cuts: number | null }[]
  readonly sentence: string
  readonly notes: readonly string[]
}

function isSize(value: unknown): value is TrialSize {
  const found = value as Partial<TrialSize> | null
  return Array.isArray(found?.sizes) && Array.isArray(found.missing) && typeof found.sentence === 'string'
}

/** What is asked; null while the form does not say enough. */
export function questionOf(draft: TrialDraft, find: Find): string | null {
  const difference = readDifference(draft)
  if (typeof difference === 'string' || armsProblem(draft, find) !== null) return null
  const asked = new URLSearchParams({ varies: draft.varies, arms: String(draft.arms.length), endpoint: draft.endpoint, difference: String(difference) })
  for (const name of ['share', 'pieces', 'spread'] as const) {
    // What is out of bounds is sent too: the server says what is wrong with it.
    const value = readWhole(draft[name], 0, 999_999)
    if (typeof value === 'number') asked.set(name, String(value))
  }
  return asked.toString()
}

/** Throws ServerError. */
export function fetchSize(fetcher: Fetch, question: string): Promise<TrialSize> {
  return ask(fetcher, `/api/planning/trial-size?${question}`, isSize)
}
