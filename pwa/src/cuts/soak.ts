/** Bases that lie soaking before they are glued, a kind at a time. Pure. */
import type { Key } from '../records/fields.ts'
import type { Item } from '../stock/lists.ts'

export interface Soak {
  readonly base: Key
  /** Device time, in milliseconds: a timer of minutes needs no server's clock. */
  readonly since: number
}

export interface Soaked {
  /** Whole minutes so far. */
  readonly minutes: number
  /** What the farm's list asks for this kind; null where nobody has said. */
  readonly wanted: number | null
  readonly left: number
  readonly enough: boolean
}

const MINUTE_MS = 60_000

/** How far a soak is. A clock that was set back counts as no time at all. */
export function soaked({ since }: Soak, base: Item | undefined, now: number): Soaked {
  const asked = base?.fields['soak_min']
  const wanted = typeof asked === 'number' && asked > 0 ? asked : null
  const minutes = Math.max(0, Math.floor((now - since) / MINUTE_MS))
  const left = Math.max(0, (wanted ?? 0) - minutes)
  return { minutes, wanted, left, enough: wanted !== null && left === 0 }
}

/** Put in the water now; put in again it starts anew. */
export function begun(soaks: readonly Soak[], base: Key, now: number): Soak[] {
  return [...soaks.filter((one) => one.base !== base), { base, since: now }]
}

/** What was forgotten in the bucket for days says nothing any more. */
export function current(soaks: readonly Soak[], now: number): Soak[] {
  return soaks.filter((one) => now - one.since < 3 * 24 * 60 * MINUTE_MS)
}
