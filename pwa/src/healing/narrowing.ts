/** What an answer was narrowed to, in words, and how it is narrowed further. Pure. */
import { dayText } from '../stock/view.ts'
import { t } from '../words/index.ts'
import { partsOf, TRAITS, type Asked, type Trait } from './question.ts'
import type { Choice } from './report.ts'

/** One thing that can be taken off again. */
export interface Chip {
  readonly key: string
  readonly what: string
  /** The question without it. */
  readonly without: Asked
}

/** What a list entry or a trait's value is called; undefined where nobody knows. */
export type NameOf = (key: string) => string | undefined

function valueName(trait: Trait, value: string, choices: readonly Choice[], nameOf: NameOf): string {
  return choices.find((one) => one.trait === trait && one.value === value)?.name ?? nameOf(value) ?? value
}

export function chipsOf(asked: Asked, choices: readonly Choice[], nameOf: NameOf): Chip[] {
  const found: Chip[] = []
  const { trial, since, until, only } = asked
  if (trial !== null) {
    found.push({
      key: 'trial', what: t('healing.narrow.trial', { name: nameOf(trial) ?? trial }), without: { ...asked, trial: null, by: 'method' },
    })
  }
  if (since !== null) found.push({ key: 'from', what: t('healing.narrow.since', { day: dayText(since) }), without: { ...asked, since: null } })
  if (until !== null) found.push({ key: 'to', what: t('healing.narrow.until', { day: dayText(until) }), without: { ...asked, until: null } })
  for (const one of only) {
    const parts = partsOf(one)
    if (!parts) continue
    const values = valueName(parts.trait, parts.value, choices, nameOf)
    found.push({
      key: one, what: t('healing.narrow.one', { trait: t(`healing.by.${parts.trait}`), values }),
      without: { ...asked, only: only.filter((other) => other !== one) },
    })
  }
  return found
}

/** 'Only cut from 1 Mar 2026 to 1 Apr 2026; species: Duncan or Blasto.'; null where it is all pieces. */
export function narrowedText(asked: Asked, choices: readonly Choice[], nameOf: NameOf): string | null {
  const { trial, since, until, only } = asked
  const said: string[] = []
  if (trial !== null) said.push(t('healing.narrow.trial', { name: nameOf(trial) ?? trial }))
  if (since !== null && until !== null) said.push(t('healing.narrow.between', { from: dayText(since), to: dayText(until) }))
  else if (since !== null) said.push(t('healing.narrow.since', { day: dayText(since) }))
  else if (until !== null) said.push(t('healing.narrow.until', { day: dayText(until) }))
  const parts = only.map(partsOf).filter((one) => one !== null)
  for (const trait of TRAITS) {
    const values = parts.filter((one) => one.trait === trait).map((one) => valueName(trait, one.value, choices, nameOf))
    if (values.length > 0) {
      said.push(t('healing.narrow.one', { trait: t(`healing.by.${trait}`), values: values.join(t('healing.narrow.or')) }))
    }
  }
  return said.length === 0 ? null : t('healing.narrow.said', { what: said.join(t('healing.narrow.and')) })
}

export function withValue(asked: Asked, trait: Trait, value: string): Asked {
  return { ...asked, only: [...new Set([...asked.only, `${trait}:${value}`])].sort() }
}
