/** A list entry's fields in a few words. Pure. */
import type { Item } from '../stock/lists.ts'
import { itemName, type Find } from '../stock/view.ts'
import { t } from '../words/index.ts'

type Tell = (item: Item, find: Find) => (string | null)[]

function text(item: Item, field: string): string | null {
  const value = item.fields[field]
  return typeof value === 'string' && value !== '' ? value : null
}

function count(item: Item, field: string): number | null {
  const value = item.fields[field]
  return typeof value === 'number' ? value : null
}

const TELL: Record<string, Tell> = {
  species(item) {
    const days = count(item, 'check_days')
    return [
      text(item, 'common'),
      days === null ? null : t('setup.lists.about.checkDays', { count: days }),
      item.fields['toxic'] === true ? t('setup.lists.about.toxic') : null,
    ]
  },
  base(item) {
    const [shape, across] = [text(item, 'shape'), count(item, 'across_mm')]
    const known = shape === 'hexagon' || shape === 'disc' || shape === 'block'
    return [known ? t(`setup.lists.shape.${shape}`) : null, across === null ? null : t('setup.lists.about.across', { mm: across })]
  },
  tray(item, find) {
    const [columns, rows] = [count(item, 'columns'), count(item, 'rows')]
    return [
      columns === null || rows === null ? null : t('setup.lists.about.map', { columns, rows }),
      item.tank === null ? null : itemName(item.tank, find),
    ]
  },
  tank(item) {
    const litres = count(item, 'litres')
    return [litres === null ? null : t('setup.lists.about.litres', { litres })]
  },
}

export function aboutItem(item: Item, find: Find): string {
  return (TELL[item.list]?.(item, find) ?? []).filter((part) => part !== null).join(', ')
}
