/** The server's answer to how the arms of a trial healed, kept for reading offline. */
import { ask, type Fetch } from '../access/server.ts'
import type { Report } from '../healing/report.ts'
import { keep, kept } from '../kit/kept.ts'
import type { Trial } from './trial.ts'

export interface Kept {
  readonly at: number
  readonly report: Report
}

function isReport(value: unknown): value is Report {
  const found = value as Partial<Report> | null
  return Array.isArray(found?.groups) && found.by === 'arm'
}

const keyOf = (trial: Trial) => `nubbin.trial.${trial.id}`

export function keptDifference(trial: Trial): Kept | null {
  const found = kept<Kept>(keyOf(trial))
  return found && isReport(found.report) ? found : null
}

/** Throws ServerError; what was kept before then stands. */
export async function fetchDifference(fetcher: Fetch, trial: Trial): Promise<Kept> {
  const endpoint = trial.endpoint === 'cut' ? 'cut' : 'sale'
  const report = await ask(fetcher, `/api/healing?trial=${encodeURIComponent(trial.id)}&endpoint=${endpoint}`, isReport)
  const found = { at: Date.now(), report }
  keep(keyOf(trial), found)
  return found
}
