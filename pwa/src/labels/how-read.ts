/** How pieces were found at their checks, as a lead reads it. Pure but for the asking. */
import { ask, type Fetch } from '../access/server.ts'

/** Counts of checks, of one base kind, from one day since gluing to another; null: without end. */
export interface Looks {
  readonly base: string
  readonly sits: string | null
  readonly from_day: number
  readonly to_day: number | null
  readonly scan: number
  readonly typed: number
  readonly place: number
}

function areLooks(value: unknown): value is Looks[] {
  return Array.isArray(value) && value.every((one: Partial<Looks> | null) => typeof one?.base === 'string' && typeof one.scan === 'number')
}

export function fetchLooks(fetcher: Fetch): Promise<Looks[]> {
  return ask(fetcher, '/api/labels/reading', areLooks)
}

export interface BaseLooks {
  readonly base: string
  readonly sits: string | null
  readonly ages: readonly Looks[]
}

/** By base kind, in the order they come. */
export function byBase(looks: readonly Looks[]): BaseLooks[] {
  const found = new Map<string, Looks[]>()
  for (const one of looks) found.set(one.base, [...(found.get(one.base) ?? []), one])
  return [...found].map(([base, ages]) => ({ base, sits: ages[0]?.sits ?? null, ages }))
}

/** How many checks there were. */
export function all({ scan, typed, place }: Looks): number {
  return scan + typed + place
}

/** Too few to be told as a share. */
export const FEW = 10

/** Of a hundred, how many were read by the camera; null where there are too few to say. */
export function readOf100(looks: Looks): number | null {
  return all(looks) < FEW ? null : Math.round((100 * looks.scan) / all(looks))
}
