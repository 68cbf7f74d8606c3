/** Where a label sits and what it can carry, in words. Pure. */
import { t } from '../words/index.ts'
import { SITS, symbolFor } from './sits.ts'

/** 'label: stem', as a list tells it of a base kind; null where nobody has said. */
export function sitsWord(sits: unknown): string | null {
  const known = SITS.find((one) => one === sits)
  return known ? t('setup.lists.about.sits', { where: t(`setup.lists.label_sits.${known}`).toLowerCase() }) : null
}

export function widthText(mm: number): string {
  const { carries, near, far } = symbolFor(mm)
  if (carries === 'none') return t('setup.lists.symbol.none')
  return `${t(`setup.lists.symbol.${carries}`, { mm, near, far })} ${t('setup.lists.symbol.source')}`
}
