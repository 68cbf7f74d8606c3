/** What a label of some width can carry, in words. Pure. */
import { t } from '../words/index.ts'
import { symbolFor } from './sits.ts'

export function widthText(mm: number): string {
  const { carries, near, far } = symbolFor(mm)
  if (carries === 'none') return t('setup.lists.symbol.none')
  return `${t(`setup.lists.symbol.${carries}`, { mm, near, far })} ${t('setup.lists.symbol.source')}`
}
