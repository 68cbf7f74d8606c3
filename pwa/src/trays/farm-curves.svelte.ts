import { ServerError } from '../access/server.ts'
import { fetchReport, keptReport, type Kept } from '../healing/report.ts'
import { curvesOf, type Curves } from './curves.ts'

const OLD_MS = 24 * 3_600_000

/** The farm's curves as this phone has them; newer ones are fetched once a day, with a signal. */
export class FarmCurves {
  kept = $state.raw<Kept | null>(keptReport('method', 'sale'))
  readonly curves: Curves | null = $derived(this.kept && curvesOf(this.kept.report))

  constructor() {
    if (this.kept === null || Date.now() - this.kept.at > OLD_MS) void this.#fetch()
  }

  async #fetch(): Promise<void> {
    try {
      this.kept = await fetchReport(fetch, 'method', 'sale')
    } catch (error) {
      // What is kept stands, with its age beside it.
      if (!(error instanceof ServerError)) throw error
    }
  }
}
