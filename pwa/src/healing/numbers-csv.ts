/** The table of numbers as a file for a spreadsheet. Pure. */
import type { Group, Report } from './report.ts'

type Cell = string | number | null | undefined

/** Columns in plain names that do not change with the language; decimal points, empty where unknown. */
const COLUMNS: readonly (readonly [string, (group: Group) => Cell])[] = [
  ['group', (one) => one.name],
  ['pieces', (one) => one.pieces],
  ['units', (one) => one.cuts],
  ['unit', (one) => one.unit],
  ['ready', (one) => one.ready],
  ['ready_later_lost', (one) => one.lost_after_ready],
  ['lost', (one) => one.lost],
  ['missing', (one) => one.missing],
  ['healing', (one) => one.healing],
  ['withdrawn', (one) => one.withdrawn],
  ['never_checked', (one) => one.never_checked],
  ['left_out', (one) => one.excluded],
  ['half_ready_after_day', (one) => one.estimate?.after],
  ['half_ready_by_day', (one) => one.estimate?.by],
  ['half_ready_low', (one) => one.median?.low],
  ['half_ready_high', (one) => one.median?.high],
  ['middle_half_from', (one) => one.middle?.[0]],
  ['middle_half_to', (one) => one.middle?.[1]],
  ['first_seen_ready', (one) => one.observed?.first],
  ['last_seen_ready', (one) => one.observed?.last],
  ['lost_by_day', (one) => one.loss?.horizon],
  ['share_lost_least', (one) => one.loss?.least],
  ['share_lost_most', (one) => one.loss?.most],
  ['share_lost_low', (one) => one.loss?.low],
  ['share_lost_high', (one) => one.loss?.high],
  ['share_lost_without_missing_least', (one) => one.loss?.missing_withdrawn?.least],
  ['share_lost_without_missing_most', (one) => one.loss?.missing_withdrawn?.most],
  ['days_between_looks', (one) => one.gap_days],
]

/** A text that a spreadsheet would take for a formula gets an apostrophe before it. */
export function harmless(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text
}

function written(cell: Cell): string {
  if (cell === null || cell === undefined) return ''
  if (typeof cell === 'number') return String(cell)
  const text = harmless(cell)
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}

/** One row a group, the pooled one last; what was asked stands in each row. RFC 4180. */
export function numbersCsv(report: Report): string {
  const asked: readonly Cell[] = [
    report.endpoint, report.by, report.trial, report.since, report.until, report.only.join(' '), report.made_at,
  ]
  const head = [...COLUMNS.map(([name]) => name), 'ready_for', 'by', 'trial', 'cut_from', 'cut_to', 'only', 'made_at']
  const groups = [...report.groups, ...(report.all ? [report.all] : [])]
  const rows = groups.map((group) => [...COLUMNS.map(([, of]) => of(group)), ...asked])
  return [head, ...rows].map((row) => `${row.map(written).join(',')}\r\n`).join('')
}
