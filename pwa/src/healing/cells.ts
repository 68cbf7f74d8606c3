/** The numbers of a group as the table writes them. Pure. */
import { number, t } from '../words/index.ts'
import type { Group } from './report.ts'

export interface Row {
  readonly word: string
  readonly cells: readonly string[]
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

/** One row a number, one cell a group: few groups, many numbers, a narrow screen. */
export function tableRows(groups: readonly Group[]): Row[] {
  const count = (word: string, of: (group: Group) => number): Row => ({ word, cells: groups.map((group) => number(of(group))) })
  return [
    { word: t('healing.table.half'), cells: groups.map(halfText) },
    { word: t('healing.table.median'), cells: groups.map(medianText) },
    { word: t('healing.table.middle'), cells: groups.map(middleText) },
    { word: t('healing.table.seen'), cells: groups.map(seenText) },
    { word: t('healing.table.loss'), cells: groups.map(lossText) },
    count(t('healing.table.pieces'), (group) => group.pieces),
    count(t('healing.table.cuts'), (group) => group.cuts),
    count(t('healing.table.ready'), (group) => group.ready),
    count(t('healing.table.lost'), (group) => group.lost),
    count(t('healing.table.missing'), (group) => group.missing),
    count(t('healing.table.healing'), (group) => group.healing),
    count(t('healing.table.withdrawn'), (group) => group.withdrawn),
    count(t('healing.table.never'), (group) => group.never_checked),
    count(t('healing.table.excluded'), (group) => group.excluded),
  ]
}
