import { number, t } from '../words/index.ts'
import type { Later } from './free-places.ts'

/**
 * 'likely 41 to 52, about 46 expected'; 'not known' where the curves cannot tell, and then no number.
 * `leaving`: some of it is free only once what is ready for sale has left.
 */
export function laterWords(row: Later, leaving: boolean): string {
  const { open, unknown, low, high } = row
  if (open === 0) return leaving ? t('trays.later.fixed', { low }) : number(low)
  if (unknown === open) return t('trays.later.notKnown')
  const range = low === high ? t('trays.later.sure', { low }) : t('trays.later.range', { low, high })
  if (unknown > 0) return t('trays.later.rest', { unknown, open, range })
  return low === high ? range : `${range}, ${expected(row)}`
}

function expected({ expected: { low, high } }: Later): string {
  const [least, most] = [Math.round(low), Math.round(high)]
  if (least === most) return t('trays.later.about', { count: number(least) })
  return t('trays.later.aboutRange', { low: least, high: most })
}
