/** How long a colony that arrived is kept apart. It is said; a person decides. Pure. */
import { addDays, daysBetween } from './days.ts'
import type { PieceState } from './state.ts'

export interface Quarantine {
  /** Days since it arrived. */
  readonly day: number
  readonly of: number
  /** The first local date on which it is over. */
  readonly until: string
}

/** Null where none was set, or it is over by `today`, a local date. */
export function quarantine({ begun, quarantine_days, exit, loss }: Pick<PieceState, 'begun' | 'quarantine_days' | 'exit' | 'loss'>, today: string): Quarantine | null {
  if (begun?.kind !== 'arrival' || !quarantine_days || exit || loss) return null
  const day = daysBetween(begun.day, today)
  return day < quarantine_days ? { day: Math.max(0, day), of: quarantine_days, until: addDays(begun.day, quarantine_days) } : null
}
