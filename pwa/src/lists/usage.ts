/** How much a list entry is used, and what to ask before it is retired, in words. Pure. */
import { t } from '../words/index.ts'
import type { EditedList } from './fields.ts'

export interface Usage {
  /** All that ever were, and those still here: neither lost nor gone. */
  readonly pieces: number
  readonly open: number
  readonly cuts: number
  readonly losses: number
  readonly trays: number
  readonly blades: number
}
export const NOTHING: Usage = { pieces: 0, open: 0, cuts: 0, losses: 0, trays: 0, blades: 0 }

const COUNTED = ['pieces', 'open', 'cuts', 'losses', 'trays', 'blades'] as const

/** '12 pieces, 3 pieces still here'. */
export function usageText(usage: Usage): string {
  const words = COUNTED.flatMap((what) => (usage[what] > 0 ? t(`setup.lists.usage.${what}`, { count: usage[what] }) : []))
  return words.length > 0 ? `${words.join(', ')}.` : t('setup.lists.usage.none')
}

/** What to say before an entry is offered no more; null where nothing stands in the way. */
export function beforeRetiring(list: EditedList, { open, trays }: Usage): string | null {
  const words: string[] = []
  if (list === 'tank' && trays > 0) words.push(t('setup.lists.ask.tank', { count: trays }))
  if (list === 'tank' && open > 0) words.push(t('setup.lists.ask.tankPieces', { count: open }))
  if ((list === 'tray' || list === 'species') && open > 0) words.push(t(`setup.lists.ask.${list}`, { count: open }))
  return words.length > 0 ? [...words, t('setup.lists.ask.once')].join(' ') : null
}

const NAMED = 6

/** What to say before a tray is made smaller than what stands in it. */
export function beforeShrinking(places: readonly string[], last: string): string | null {
  if (places.length === 0) return null
  const named = [...places.slice(0, NAMED), ...(places.length > NAMED ? [t('setup.lists.ask.more')] : [])].join(', ')
  return `${t('setup.lists.ask.smaller', { count: places.length, last, places: named })} ${t('setup.lists.ask.once')}`
}
