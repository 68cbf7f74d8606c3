/** Values and changes of list entries in words. Pure. */
import type { FieldValue } from '../records/fields.ts'
import { signsText } from '../stock/rule-words.ts'
import { dayText, itemName, type Find } from '../stock/view.ts'
import { number, t, type PlainKey } from '../words/index.ts'
import { fieldsOf, LISTS, type EditedList, type EntryField } from './fields.ts'
import type { Change } from './history.ts'

const RULE = /^(sale|cut)_(.+)$/

/** The word for a field; a rule's says whose rule it is. */
export function fieldWord(list: EditedList, name: string): string {
  if (name === 'name' && list === 'species') return t('setup.lists.fields.speciesName')
  const [, endpoint, part] = RULE.exec(name) ?? []
  if (list !== 'species' || !endpoint || !part) return wordOf(name)
  return `${t(`setup.lists.rule.${endpoint as 'sale'}`)}, ${wordOf(part).toLowerCase()}`
}

/** The field's own word, without whose rule it is; its name where this version has none. */
export function wordOf(name: string): string {
  const plain = RULE.exec(name)?.[2] ?? name
  return plain in WORDS ? t(`setup.lists.fields.${plain}` as PlainKey) : name
}

const WORDS = Object.fromEntries(
  ['name', ...LISTS.flatMap((list) => fieldsOf(list).map((field) => field.name.replace(RULE, '$2')))].map((name) => [name, true]),
)

/** The word for an answer, such as 'Hexagon'; '' is none. */
export function answerWord(field: EntryField, value: string): string {
  return t(`setup.lists.${field.name.replace(RULE, '$2')}.${value}` as PlainKey)
}

export function valueText(list: EditedList, name: string, value: FieldValue | undefined, find: Find): string {
  const field = fieldsOf(list).find((one) => one.name === name)
  if (value === undefined || value === null || value === '') return t('setup.lists.notNoted')
  if (Array.isArray(value)) return value.length > 0 ? signsText(value) : t('setup.lists.notNoted')
  if (typeof value === 'boolean') return t(value ? 'setup.lists.yes' : 'setup.lists.no')
  if (field?.kind === 'choice' && field.values.includes(String(value))) return answerWord(field, String(value))
  if (field?.kind === 'item') return itemName(String(value), find)
  if (field?.kind === 'date' && typeof value === 'string') return dayText(value)
  return typeof value === 'number' ? number(value) : value
}

/** 'Check every … days: 7 → 10'. */
export function changeText(list: EditedList, change: Change, find: Find): string {
  if (change.what === 'moved') {
    return t('setup.lists.history.moved', { tank: change.tank === null ? t('setup.lists.notNoted') : itemName(change.tank, find) })
  }
  if (change.what !== 'field') return t(`setup.lists.history.${change.what}`)
  const field = fieldWord(list, change.name)
  const to = valueText(list, change.name, change.to, find)
  if (change.from === undefined) return t('setup.lists.history.set', { field, to })
  return t('setup.lists.history.changed', { field, from: valueText(list, change.name, change.from, find), to })
}
