/** What the server is asked about healing, as an address of a screen and of the server says it. Pure. */
import type { Endpoint } from '../records/fields.ts'
import { isDate } from '../stock/days.ts'

/** What pieces were on their first day: groups are made of it, and answers narrowed by it. */
export const TRAITS = [
  'method', 'base', 'species', 'form', 'purpose', 'mouths', 'size', 'start', 'number', 'operator', 'blade', 'tank', 'care',
] as const
export type Trait = (typeof TRAITS)[number]
/** Arms are those of one trial. */
export type By = Trait | 'arm'

export interface Asked {
  readonly by: By
  readonly endpoint: Endpoint
  readonly trial: string | null
  /** Local dates of the cut, both included. */
  readonly since: string | null
  readonly until: string | null
  /** 'trait:value', in order; values of one trait are alternatives. */
  readonly only: readonly string[]
}

export const EVERYTHING: Asked = { by: 'method', endpoint: 'sale', trial: null, since: null, until: null, only: [] }

const isTrait = (text: string | null): text is Trait => (TRAITS as readonly (string | null)[]).includes(text)

/** 'species:species.a' in its two parts; null where it names no trait. */
export function partsOf(only: string): { readonly trait: Trait; readonly value: string } | null {
  const at = only.indexOf(':')
  const [trait, value] = [only.slice(0, Math.max(0, at)), only.slice(at + 1)]
  return isTrait(trait) && value !== '' ? { trait, value } : null
}

/** What an address asks for; what it says that means nothing is left out, as if it were not there. */
export function readAsked(query: string): Asked {
  const given = new URLSearchParams(query)
  const date = (name: string) => {
    const text = given.get(name)
    return text !== null && isDate(text) ? text : null
  }
  const [by, trial] = [given.get('by'), given.get('trial') || null]
  const [since, until] = [date('from'), date('to')]
  const turned = since !== null && until !== null && since > until
  return {
    by: trial !== null ? 'arm' : isTrait(by) ? by : 'method',
    endpoint: given.get('endpoint') === 'cut' ? 'cut' : 'sale',
    trial,
    since: turned ? until : since,
    until: turned ? since : until,
    only: [...new Set(given.getAll('only').filter((one) => partsOf(one) !== null))].sort(),
  }
}

export function isNarrowed({ trial, since, until, only }: Asked): boolean {
  return trial !== null || since !== null || until !== null || only.length > 0
}

function written({ by, endpoint, trial, since, until, only }: Asked, whole: boolean): URLSearchParams {
  const query = new URLSearchParams()
  if (trial === null && (whole || by !== 'method')) query.set('by', by)
  if (whole || endpoint !== 'sale') query.set('endpoint', endpoint)
  if (trial !== null) query.set('trial', trial)
  if (since !== null) query.set('from', since)
  if (until !== null) query.set('to', until)
  for (const one of only) query.append('only', one)
  return query
}

/** As the server is asked, without the question mark: the same question is always the same text. */
export function queryOf(asked: Asked): string {
  return written(asked, true).toString()
}

/** A screen's address that asks it, as short as it can be. `more` comes after it. */
export function addressOf(path: string, asked: Asked, more: Readonly<Record<string, string>> = {}): string {
  const query = written(asked, false)
  for (const [name, value] of Object.entries(more)) query.set(name, value)
  const text = query.toString()
  return text === '' ? path : `${path}?${text}`
}
