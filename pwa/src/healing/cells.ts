/** The numbers of a group as the table writes them. Pure. */
import { number, t } from '../words/index.ts'
import type { Of } from './pieces.ts'
import type { Group } from './report.ts'

export interface Cell {
  readonly text: string
  /** Which pieces it counts, where it counts any. */
  readonly of: Of | null
}

export interface Row {
  readonly word: string
  readonly cells: readonly Cell[]
}

const percent = (share: number) => number(share, { style: 'percent' })

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

export function lossText({ loss }: Group): string {
  if (loss === null) return t('healing.table.none')
  const { lost, of, share, low, high, horizon } = loss
  return t('healing.table.lossCell', {
    lost, of, share: percent(share), low: percent(low), high: percent(high), horizon,
  })
}

/** The share lost with the missing left out instead of counted as lost. */
export function foundText({ loss }: Group): string {
  const without = loss?.missing_withdrawn
  if (!loss || !without) return t('healing.table.none')
  const { lost, of, share, low, high } = without
  return t('healing.table.lossCell', {
    lost, of, share: percent(share), low: percent(low), high: percent(high), horizon: loss.horizon,
  })
}

function gapText({ gap_days }: Group): string {
  return gap_days === null ? t('healing.table.none') : t('healing.table.gapCell', { count: gap_days })
}

/** One row a number, one cell a group: few groups, many numbers, a narrow screen. */
export function tableRows(groups: readonly Group[]): Row[] {
  const said = (word: string, text: (group: Group) => string): Row => ({
    word, cells: groups.map((group) => ({ text: text(group), of: null })),
  })
  const count = (word: string, of: Of, size: (group: Group) => number): Row => ({
    word, cells: groups.map((group) => ({ text: number(size(group)), of: size(group) > 0 ? of : null })),
  })
  const tanks = groups.some((group) => group.unit === 'tank')
  return [
    said(t('healing.table.half'), halfText),
    said(t('healing.table.median'), medianText),
    said(t('healing.table.middle'), middleText),
    said(t('healing.table.seen'), seenText),
    said(t('healing.table.loss'), lossText),
    said(t('healing.table.found'), foundText),
    count(t('healing.table.pieces'), 'pieces', (group) => group.pieces),
    said(t(tanks ? 'healing.table.tanks' : 'healing.table.cuts'), (group) => number(group.cuts)),
    count(t('healing.table.ready'), 'ready', (group) => group.ready),
    count(t('healing.table.lostLater'), 'lost-after-ready', (group) => group.lost_after_ready),
    count(t('healing.table.lost'), 'lost', (group) => group.lost),
    count(t('healing.table.missing'), 'missing', (group) => group.missing),
    count(t('healing.table.healing'), 'healing', (group) => group.healing),
    count(t('healing.table.withdrawn'), 'withdrawn', (group) => group.withdrawn),
    count(t('healing.table.never'), 'never-checked', (group) => group.never_checked),
    count(t('healing.table.excluded'), 'excluded', (group) => group.excluded),
    said(t('healing.table.gap'), gapText),
  ]
}
