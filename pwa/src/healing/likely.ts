/** When each piece that is still healing is likely ready, and how many a week. */
import type { Endpoint } from '../records/fields.ts'
import { isDate } from '../stock/days.ts'
import { locale } from '../words/format.ts'
import { number, t } from '../words/index.ts'
import { keptOf, type Kept, type Source } from './kept-reports.ts'

/** Dates are the facility's. */
export interface LikelyPiece {
  readonly id: string
  readonly code: string | null
  readonly tray: string | null
  readonly place: string | null
  readonly name: string
  /** Chance that it gets ready at all, and that it is ready already. */
  readonly ever: number
  readonly now: number
  /** As likely before as after, should it get ready; null outside the model. */
  readonly day: string | null
  /** Between them with a chance of 80 %. */
  readonly low: string | null
  readonly high: string | null
  /** Healing for longer than such pieces do. */
  readonly outside: boolean
}

export interface LikelyWeek {
  readonly begins: string
  readonly mean: number
  readonly low: number
  readonly high: number
}

export interface Likely {
  readonly made_at: string
  readonly endpoint: Endpoint
  readonly note: readonly string[]
  /** How many may be ready now, not looked at since. */
  readonly already: number
  readonly pieces: readonly LikelyPiece[]
  readonly weeks: readonly LikelyWeek[]
}

function isPiece(value: unknown): value is LikelyPiece {
  const found = value as Partial<LikelyPiece> | null
  return typeof found?.id === 'string' && typeof found.ever === 'number' && typeof found.now === 'number' && found.day !== undefined
}

function isLikely(value: unknown): value is Likely {
  const found = value as Partial<Likely> | null
  return (
    Array.isArray(found?.pieces) && found.pieces.every(isPiece) && Array.isArray(found.weeks) && Array.isArray(found.note) &&
    typeof found.already === 'number'
  )
}

export function likelyOf(endpoint: Endpoint): Source<Likely> {
  return { name: `nubbin.healing.likely.${endpoint}`, path: `/api/healing/likely?endpoint=${endpoint}`, ours: isLikely }
}

/** '3–24 Mar 2026', as the locale writes it. */
export function daysText(low: string, high: string): string {
  if (!isDate(low) || !isDate(high)) return `${low} – ${high}`
  const options = { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' } as const
  const at = (date: string) => Date.parse(`${date}T00:00:00Z`)
  return new Intl.DateTimeFormat(locale(), options).formatRange(at(low), at(high))
}

/** 'Likely ready 3–24 Mar 2026', or that nothing is promised. */
export function likelyText({ low, high, outside }: LikelyPiece, endpoint: Endpoint): string {
  if (outside || low === null || high === null) return t('healing.likely.outside')
  return t(endpoint === 'sale' ? 'healing.likely.sale' : 'healing.likely.cut', { days: daysText(low, high) })
}

/** What was worked out of one piece the last time, from what this phone keeps; it asks nobody. */
export function keptLikely(piece: string): { readonly text: string; readonly at: number }[] {
  return (['sale', 'cut'] as const).flatMap((endpoint) => {
    const found: Kept<Likely> | null = keptOf(likelyOf(endpoint))
    const one = found?.report.pieces.find(({ id }) => id === piece)
    return found && one ? [{ text: likelyText(one, endpoint), at: found.at }] : []
  }).slice(0, 1)
}

/** Shares that are nearly none or nearly all are said so, never as 0 % or 100 %. */
export function chance(share: number): string {
  if (share < 0.01) return t('healing.likely.under', { share: number(0.01, { style: 'percent' }) })
  if (share > 0.99) return t('healing.likely.over', { share: number(0.99, { style: 'percent' }) })
  return number(share, { style: 'percent' })
}
