/** Entries of a list as answers to choose from. Pure. */
import { nameOf, type Item } from '../stock/lists.ts'
import { t } from '../words/index.ts'

/** Those that are offered, and the one chosen before though it is offered no more. */
export function itemOptions(items: readonly Item[], chosen: string): { value: string; word: string }[] {
  const offered = items.filter((item) => !item.retired || item.id === chosen)
  return [{ value: '', word: t('setup.lists.notNoted') }, ...offered.map((item) => ({ value: item.id, word: nameOf(item) }))]
}
