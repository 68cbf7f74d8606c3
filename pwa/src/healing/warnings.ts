/** Cuts and trays that lose more than the farm's others of their age. */
import type { Source } from './kept-reports.ts'

export interface Warned {
  readonly kind: 'cut' | 'tray'
  readonly key: string
  readonly name: string
  readonly day: string | null
  readonly pieces: number
  readonly lost: number
  readonly expected: number
  readonly level: 'look' | 'act' | 'as-usual'
  readonly sentence: string
}

export interface Warnings {
  readonly made_at: string
  readonly note: readonly string[]
  /** The worst first. */
  readonly units: readonly Warned[]
  readonly false_alarms: string
}

function isWarned(value: unknown): value is Warned {
  const found = value as Partial<Warned> | null
  return typeof found?.key === 'string' && typeof found.sentence === 'string' && typeof found.level === 'string'
}

function isWarnings(value: unknown): value is Warnings {
  const found = value as Partial<Warnings> | null
  return (
    Array.isArray(found?.units) && found.units.every(isWarned) && Array.isArray(found.note) && typeof found.false_alarms === 'string'
  )
}

export const WARNINGS: Source<Warnings> = { name: 'nubbin.healing.warnings', path: '/api/healing/warnings', ours: isWarnings }

/** Where a unit is looked at. */
export function placeOfUnit({ kind, key }: Warned): string {
  return `/${kind}/${encodeURIComponent(key)}`
}
