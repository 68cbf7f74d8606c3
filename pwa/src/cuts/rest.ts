/** What speaks against cutting a mother today. It is said, and a person decides. Pure. */
import { daysBetween } from '../stock/days.ts'
import { quarantine } from '../stock/quarantine.ts'
import type { PieceState } from '../stock/state.ts'
import type { Item } from '../stock/lists.ts'

export type Against =
  | { readonly why: 'rested'; readonly days: number; readonly wanted: number }
  | { readonly why: 'recession'; readonly recession: 'rim' | 'quarter' | 'half' | 'more' }
  | { readonly why: 'jelly' }
  | { readonly why: 'quarantine'; readonly until: string }

type Mother = Pick<PieceState, 'last_cut' | 'begun' | 'recession' | 'signs' | 'quarantine_days' | 'exit' | 'loss'>

/** `today` is a local date; `species` the mother's entry in the list, which says how long she rests. */
export function against(mother: Mother, species: Item | undefined, today: string): Against[] {
  const found: Against[] = []
  const apart = quarantine(mother, today)
  if (apart) found.push({ why: 'quarantine', until: apart.until })
  if (mother.signs.includes('brown-jelly')) found.push({ why: 'jelly' })
  if (mother.recession !== null && mother.recession !== 'none') found.push({ why: 'recession', recession: mother.recession })
  const wanted = species?.fields['rest_days']
  const days = rested(mother, today)
  if (typeof wanted === 'number' && days !== null && days < wanted) found.push({ why: 'rested', days, wanted })
  return found
}

/** Days since her last cut, or since she was glued herself; null for a colony that was never cut here. */
export function rested({ last_cut, begun }: Pick<Mother, 'last_cut' | 'begun'>, today: string): number | null {
  const since = last_cut ?? (begun?.kind === 'glue' ? begun.day : null)
  return since === null ? null : daysBetween(since, today)
}
