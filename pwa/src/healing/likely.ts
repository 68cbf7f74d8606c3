/** When each piece that is still healing is likely ready, and how many a week. */
import type { Endpoint } from '../records/fields.ts'
import { isDate } from '../stock/days.ts'
import { locale } from '../words/format.ts'
import { t } from '../words/index.ts'
import { keptOf, type Kept, type Source } from './kept-reports.ts'
import { percent } from './said.ts'

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

const DAY_MS = 86_400_000
const at = (date: string) => Date.parse(`${date}T00:00:00Z`)

/** '3–24 Mar 2026', as the locale writes it; without the year where `near` is less than ten months off. */
export function daysText(low: string, high: string, near: string | null = null): string {
  if (!isDate(low) || !isDate(high)) return `${low} – ${high}`
  // The turn of a year would bring the years back in.
  const [write, years] = [writer([low, high], near), low.slice(0, 4) !== high.slice(0, 4)]
  const bare = years && write.resolvedOptions().year === undefined
  return bare ? `${write.format(at(low))} – ${write.format(at(high))}` : write.formatRange(at(low), at(high))
}

/** '12 Mar', with the year where it lies further off. */
export function shortDay(date: string, near: string): string {
  return isDate(date) ? writer([date], near).format(at(date)) : date
}

function writer(dates: readonly string[], near: string | null): Intl.DateTimeFormat {
  const here = near === null ? NaN : Date.parse(near)
  const year = dates.every((date) => Math.abs(at(date) - here) < 300 * DAY_MS) ? {} : ({ year: 'numeric' } as const)
  return new Intl.DateTimeFormat(locale(), { day: 'numeric', month: 'short', timeZone: 'UTC', ...year })
}

/** 'Around 6 Dec: 23 Nov – 3 Jan', or that nothing is promised. `made` is when it was worked out. */
export function rowText({ day, low, high, outside }: LikelyPiece, made: string): string {
  if (outside || day === null || low === null || high === null) return t('healing.likely.outside')
  return t('healing.likely.around', { day: shortDay(day, made), days: daysText(low, high, made) })
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
  if (share < 0.01) return t('healing.likely.under', { share: percent(0.01) })
  if (share > 0.99) return t('healing.likely.over', { share: percent(0.99) })
  return percent(share)
}
