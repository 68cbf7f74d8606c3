/** Yields in words: a sentence first, honest where there are few cuts, then the rows of a table. Pure. */
import { number, t } from '../words/index.ts'
import { piecesText } from './texts.ts'
import { median, type Yield } from './yields.ts'

/** Below so many cuts nothing is expected of the next one. */
const FEW = 4

const short = (value: number) => number(value, { maximumFractionDigits: 1 })

export function yieldText(name: string, { cuts, glued, mean, least, most, gaps }: Yield): string {
  if (mean === null || least === null || most === null) return t('lineage.lines.never')
  const told = { name, pieces: piecesText(glued.pieces) }
  if (cuts === 1) return t('lineage.yields.one', told)
  const more = { ...told, count: cuts, per: short(mean), least, most }
  const sentence = cuts < FEW ? t('lineage.yields.few', more) : t('lineage.yields.many', more)
  const days = daysText(gaps)
  return days === null ? sentence : `${sentence} ${days}`
}

function daysText(gaps: readonly number[]): string | null {
  const [least, most, middle] = [gaps[0], gaps.at(-1), median(gaps)]
  if (least === undefined || most === undefined || middle === null) return null
  if (gaps.length === 1) return t('lineage.yields.days', { count: least })
  if (least === most) return t('lineage.yields.daysEach', { count: least })
  return t('lineage.yields.daysMany', { middle: short(middle), least, most })
}

export const COLUMNS = ['cuts', 'glued', 'per', 'healing', 'ready', 'lost', 'gone', 'readied', 'between', 'led'] as const

/** One row of the table, a cell for each of `COLUMNS`. */
export function yieldCells({ cuts, glued, mean, gaps, led }: Yield): string[] {
  const [least, most, middle] = [gaps[0], gaps.at(-1), median(gaps)]
  const dash = t('lineage.yields.dash')
  const between = () => {
    if (least === undefined || most === undefined || middle === null) return dash
    return least === most ? number(least) : t('lineage.yields.middle', { middle: short(middle), least, most })
  }
  const counts = [glued.healing, glued.ready, glued.lost, glued.gone, glued.readied].map((count) => number(count))
  return [number(cuts), number(glued.pieces), mean === null ? dash : short(mean), ...counts, between(), number(led.pieces)]
}
