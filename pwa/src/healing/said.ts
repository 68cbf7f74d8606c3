/** What the server says, as this phone writes it. Pure. */
import { dayText } from '../stock/view.ts'
import { number, t } from '../words/index.ts'

/** Its dates as the locale writes them, and no line that ends between a number and its sign. */
export function said(sentence: string): string {
  return sentence.replace(/\b\d{4}-\d{2}-\d{2}\b/g, (date) => dayText(date)).replace(/(\d) %/g, '$1\u00a0%')
}

/** 'Band saw: half are ready …' with its subject apart; without one where it begins otherwise. */
export function subjectOf(name: string, sentence: string): { readonly subject: string; readonly rest: string } {
  const subject = `${name}: `
  return sentence.startsWith(subject) ? { subject, rest: said(sentence.slice(subject.length)) } : { subject: '', rest: said(sentence) }
}

/** A share, 0 to 1, in whole percent: more would promise what nobody can see. */
export function percent(share: number): string {
  return t('healing.percent', { value: number(Math.round(100 * share)) })
}

/** '4 to 16 %', one number where both are the same. */
export function percents(low: number, high: number): string {
  const [from, to] = [number(Math.round(100 * low)), number(Math.round(100 * high))]
  return from === to ? percent(high) : t('healing.percents', { low: from, high: to })
}
