/** A curve as rows of a table: what a plot shows to those who see it. Pure. */
import { number, t } from '../words/index.ts'
import { lastDay, type Group } from './report.ts'
import { percents } from './said.ts'

export interface CurveRow {
  readonly day: string
  readonly ready: string
  readonly band: string
  readonly lost: string
}

/** A row a day on which something steps; shares hold until the next row's day. */
export function curveRows(group: Group): CurveRow[] {
  const { curve, band } = group
  const days = new Set([...curve, ...(band ?? [])].map(({ day }) => day).filter((day) => day <= lastDay(group)))
  return [...days].sort((a, b) => a - b).map((day) => {
    const here = curve.findLast((point) => point.day <= day)
    const limits = band?.findLast((point) => point.day <= day)
    return {
      day: number(day),
      ready: percents(here?.ready_low ?? 0, here?.ready_high ?? 0),
      band: limits ? percents(limits.low, limits.high) : t('healing.table.none'),
      lost: percents(here?.lost_low ?? 0, here?.lost_high ?? 0),
    }
  })
}
