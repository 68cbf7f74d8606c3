/** The numbers of a group as the table writes them. Pure. */
import { number, t } from '../words/index.ts'
import type { Group } from './report.ts'

export interface Row {
  readonly word: string
  readonly cells: readonly string[]
}

const percent = (share: number) => number(share, { style: 'percent' })

export function medianText({ median }: Group): string {
  if (median === null) return t('healing.table.none')
  if (typeof median.at_least === 'number') return t('healing.table.atLeast', { day: median.at_least })
  if (median.high === null) return t('healing.table.atLeast', { day: median.low })
  const { low, high } = median
  return low === high ? t('healing.table.day', { day: low }) : t('healing.table.range', { low, high })
}

export function middleText({ middle }: Group): string {
  return middle === null ? t('healing.table.none') : t('healing.table.range', { low: middle[0], high: middle[1] })
}

export function lossText({ loss }: Group): string {
  if (loss === null) return t('healing.table.none')
  const { share, low, high, horizon } = loss
  return t('healing.table.lossCell', { share: percent(share), low: percent(low), high: percent(high), horizon })
}

/** One row a number, one cell a group: few groups, many numbers, a narrow screen. */
export function tableRows(groups: readonly Group[]): Row[] {
  const count = (word: string, of: (group: Group) => number): Row => ({ word, cells: groups.map((group) => number(of(group))) })
  return [
    { word: t('healing.table.half'), cells: groups.map(medianText) },
    { word: t('healing.table.middle'), cells: groups.map(middleText) },
    { word: t('healing.table.loss'), cells: groups.map(lossText) },
    count(t('healing.table.pieces'), (group) => group.pieces),
    count(t('healing.table.cuts'), (group) => group.cuts),
    count(t('healing.table.ready'), (group) => group.ready),
    count(t('healing.table.lost'), (group) => group.lost),
    count(t('healing.table.healing'), (group) => group.healing),
    count(t('healing.table.withdrawn'), (group) => group.withdrawn),
    count(t('healing.table.never'), (group) => group.never_checked),
  ]
}
