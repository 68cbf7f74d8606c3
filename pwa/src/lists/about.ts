/** A list entry in a few words, and in all of them. Pure. */
import { sitsWord } from '../label/sits-words.ts'
import type { Item } from '../stock/lists.ts'
import { ruleOf } from '../stock/rule.ts'
import { ruleText } from '../stock/rule-words.ts'
import { dayText, growthForm, itemName, type Find } from '../stock/view.ts'
import { t } from '../words/index.ts'
import { GROUPS, type EditedList } from './fields.ts'
import { valueText, wordOf } from './history-words.ts'
import { byHand } from './methods.ts'

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
    return [
      known ? t(`setup.lists.shape.${shape}`) : null,
      across === null ? null : t('setup.lists.about.across', { mm: across }),
      sitsWord(item.fields['label_sits']),
    ]
  },
  method: (item) => [byHand(item) ? t('setup.lists.about.byHand') : null],
  blade(item, find) {
    const [width, fitted, method] = ['blade_width_mm', 'fitted', 'method'].map((name) => text(item, name))
    return [
      text(item, 'blade_kind'),
      width ? t('setup.lists.about.cutWidth', { mm: width }) : null,
      method ? itemName(method, find) : null,
      fitted ? t('setup.lists.about.fitted', { day: dayText(fitted) }) : null,
    ]
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

/** On one line. */
export function aboutItem(item: Item, find: Find): string {
  return (TELL[item.list]?.(item, find) ?? []).filter((part) => part !== null).join(', ')
}

/** Every field that says something, rules as a sentence. */
export function factsOf(list: EditedList, item: Item, find: Find): { word: string; text: string }[] {
  const facts = GROUPS[list].flatMap((group) => {
    const rule = group.rule && ruleOf(item.fields, group.rule)
    if (group.rule) return rule ? [{ word: t(`setup.lists.rule.${group.rule}`), text: ruleText(rule, growthForm(item.id, find)) }] : []
    return group.fields.flatMap(({ name }) => {
      const value = item.fields[name]
      if (value === undefined || value === null) return []
      return [{ word: wordOf(name), text: valueText(list, name, value, find) }]
    })
  })
  return item.tank === null ? facts : [...facts, { word: t('setup.lists.fields.tank'), text: itemName(item.tank, find) }]
}
