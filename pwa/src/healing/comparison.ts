/** Groups side by side, two at a time, as the server compares them; first less second throughout. */
import type { Endpoint } from '../records/fields.ts'
import type { Source } from './kept-reports.ts'
import { queryOf, type Asked } from './question.ts'

/** A difference with 95 % limits; a limit that does not exist is null. */
export interface Diff {
  readonly least: number | null
  readonly most: number | null
  readonly low: number | null
  readonly high: number | null
}

/** Days until half are ready; ready and lost in pieces of a hundred by the end of `at_day`. */
export interface Sizes {
  readonly at_day: number
  readonly days: Diff | null
  readonly ready: Diff | null
  readonly lost: Diff | null
}

/** Could chance have dealt it so? `several` is corrected for all that were made at once. */
export interface Odds {
  readonly p: number
  readonly several: number
  /** The least that so few cuts can give. */
  readonly smallest: number
}

export interface Pair {
  readonly one: string
  readonly one_name: string
  readonly other: string
  readonly other_name: string
  readonly verdict?: string
  /** Arms of a trial as they were drawn, which leads; `sentence` is of both as they stand. */
  readonly drawn: string | null
  readonly sentence: string
  readonly crude: Sizes | null
  readonly adjusted: Sizes | null
  /** Arms of a trial, cut by cut. */
  readonly within: Sizes | null
  readonly adjusted_for: readonly string[]
  readonly not_adjusted: readonly string[]
  readonly ready_odds: Odds | null
  readonly lost_odds: Odds | null
  readonly warnings: readonly string[]
}

export interface Comparison {
  readonly by: string
  readonly endpoint: Endpoint
  readonly made_at: string
  readonly unit: 'cut' | 'tank'
  readonly pairs: readonly Pair[]
  readonly note: readonly string[]
}

function isPair(value: unknown): value is Pair {
  const found = value as Partial<Pair> | null
  return (
    typeof found?.sentence === 'string' && typeof found.one_name === 'string' && typeof found.other_name === 'string' &&
    Array.isArray(found.adjusted_for) && Array.isArray(found.not_adjusted) && Array.isArray(found.warnings) &&
    (found.drawn === null || typeof found.drawn === 'string') &&
    [found.crude, found.adjusted, found.within, found.ready_odds, found.lost_odds].every((one) => one !== undefined)
  )
}

function isComparison(value: unknown): value is Comparison {
  const found = value as Partial<Comparison> | null
  return Array.isArray(found?.pairs) && found.pairs.every(isPair) && Array.isArray(found.note)
}

export function comparisonOf(asked: Asked): Source<Comparison> {
  const query = queryOf(asked)
  return { name: `nubbin.healing.comparison?${query}`, path: `/api/healing/comparison?${query}`, ours: isComparison, passing: true }
}

export type Reading = 'crude' | 'adjusted' | 'within'

const VERDICTS = ['differs', 'not-told-apart', 'cannot-separate', 'too-few', 'not-settled'] as const
export type Verdict = (typeof VERDICTS)[number]

/** What to make of a pair; null where a newer server says what this version does not know. */
export function verdictOf({ verdict }: Pair): Verdict | null {
  return VERDICTS.find((one) => one === verdict) ?? null
}

/** The readings of a pair that there are, the one that counts most last. */
export function readings(pair: Pair): { readonly of: Reading; readonly sizes: Sizes }[] {
  return (['crude', 'adjusted', 'within'] as const).flatMap((of) => {
    const sizes = pair[of]
    return sizes === null ? [] : [{ of, sizes }]
  })
}
