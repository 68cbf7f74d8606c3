/** The numbers of a group as the table writes them. Pure. */
import { number, t } from '../words/index.ts'
import type { Of } from './pieces.ts'
import type { Group, LossShare } from './report.ts'
import { percents } from './said.ts'

export interface Cell {
  readonly text: string
  /** Which pieces it counts, where it counts any. */
  readonly of: Of | null
}

export interface Row {
  readonly word: string
  /** A part of the row before it. */
  readonly part: boolean
  readonly cells: readonly Cell[]
}

export function halfText({ estimate }: Group): string {
  if (estimate === null) return t('healing.table.none')
  const [low, high] = [estimate.after + 1, estimate.by]
  return low >= high ? t('healing.table.day', { day: high }) : t('healing.table.range', { low, high })
}

export function medianText({ median }: Group): string {
  if (median === null) return t('healing.table.none')
  if (median.high === null) return t('healing.table.atLeast', { day: median.low })
  const { low, high } = median
  return low === high ? t('healing.table.day', { day: low }) : t('healing.table.range', { low, high })
}

export function middleText({ middle }: Group): string {
  return middle === null ? t('healing.table.none') : t('healing.table.range', { low: middle[0], high: middle[1] })
}

export function seenText({ observed }: Group): string {
  if (observed === null) return t('healing.table.none')
  const { first, last } = observed
  return first === last ? t('healing.table.day', { day: last }) : t('healing.table.range', { low: first, high: last })
}

type Share = Pick<Group, 'loss'>

/** The day by which losses are counted, where it is one for all. */
function lossDay(groups: readonly Share[]): number | null {
  const days = new Set(groups.flatMap(({ loss }) => (loss === null ? [] : [loss.horizon])))
  return days.size === 1 ? ([...days][0] ?? null) : null
}

function shareText({ least, most, low, high }: LossShare, horizon: number, day: number | null): string {
  const text = t('healing.table.lossCell', { share: percents(least, most), limits: percents(low, high) })
  return day === null ? t('healing.table.lossOn', { text, day: horizon }) : text
}

/** Shares lost; then with the missing left out instead of counted as lost. */
function lossRows(groups: readonly Group[]): Row[] {
  const [day, none] = [lossDay(groups), t('healing.table.none')]
  const text = (loss: LossShare | null | undefined, horizon = 0) => (loss ? shareText(loss, horizon, day) : none)
  return [
    said(day === null ? t('healing.table.loss') : t('healing.table.lossBy', { day }), groups, ({ loss }) => text(loss, loss?.horizon)),
    said(t('healing.table.found'), groups, ({ loss }) => text(loss?.missing_withdrawn, loss?.horizon), true),
  ]
}

function gapText({ gap_days }: Group): string {
  return gap_days === null ? t('healing.table.none') : t('healing.table.gapCell', { count: gap_days })
}

function said(word: string, groups: readonly Group[], text: (group: Group) => string, part = false): Row {
  return { word, part, cells: groups.map((group) => ({ text: text(group), of: null })) }
}

function count(word: string, of: Of, groups: readonly Group[], size: (group: Group) => number, part = false): Row {
  return { word, part, cells: groups.map((group) => ({ text: number(size(group)), of: size(group) > 0 ? of : null })) }
}

/** What no group has an answer to is no row. */
function answered(rows: readonly Row[]): Row[] {
  const none = t('healing.table.none')
  return rows.filter((row) => row.cells.some(({ text }) => text !== none))
}

/** One row a number, one cell a group: few groups, many numbers, a narrow screen. */
export function tableRows(groups: readonly Group[]): Row[] {
  const tanks = groups.some((group) => group.unit === 'tank')
  return [
    ...answered([
      said(t('healing.table.half'), groups, halfText),
      said(t('healing.table.median'), groups, medianText, true),
      said(t('healing.table.middle'), groups, middleText),
      said(t('healing.table.seen'), groups, seenText),
      ...lossRows(groups),
    ]),
    count(t('healing.table.pieces'), 'pieces', groups, (group) => group.pieces),
    said(t(tanks ? 'healing.table.tanks' : 'healing.table.cuts'), groups, (group) => number(group.cuts)),
    count(t('healing.table.ready'), 'ready', groups, (group) => group.ready),
    count(t('healing.table.lostLater'), 'lost-after-ready', groups, (group) => group.lost_after_ready, true),
    count(t('healing.table.lost'), 'lost', groups, (group) => group.lost),
    count(t('healing.table.missing'), 'missing', groups, (group) => group.missing, true),
    count(t('healing.table.healing'), 'healing', groups, (group) => group.healing),
    count(t('healing.table.withdrawn'), 'withdrawn', groups, (group) => group.withdrawn),
    count(t('healing.table.never'), 'never-checked', groups, (group) => group.never_checked),
    count(t('healing.table.excluded'), 'excluded', groups, (group) => group.excluded),
    ...answered([said(t('healing.table.gap'), groups, gapText)]),
  ]
}
