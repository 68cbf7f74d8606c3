/** A trial as it is typed, and what is wrong with it. Pure. */
import { readWhole } from '../cuts/numbers.ts'
import type { FieldValue, Key } from '../records/fields.ts'
import { itemName, type Find } from '../stock/view.ts'
import { t } from '../words/index.ts'
import type { Trial, TrialEndpoint, Varies } from './trial.ts'

export const ARMS_MOST = 6
/** A comparison is only shown with four cuts or more on each side. */
export const CUTS_LEAST = 4
const CUTS_MOST = 2000
const DAYS_MOST = 1000

export interface TrialDraft {
  name: string
  varies: Varies
  arms: Key[]
  endpoint: TrialEndpoint
  difference: string
  cuts: string
  begins: string
  /** Typed where the farm's records do not tell: lost of a hundred, pieces a cut, days of spread. */
  share: string
  pieces: string
  spread: string
}

export function blank(today: string): TrialDraft {
  return { name: '', varies: 'base', arms: [], endpoint: 'sale', difference: '', cuts: '', begins: today, share: '', pieces: '', spread: '' }
}

export function draftOf(trial: Trial): TrialDraft {
  const { name, varies, endpoint, begins } = trial
  return { ...blank(begins), name, varies, arms: [...trial.arms], endpoint, difference: String(trial.difference), cuts: String(trial.cuts) }
}

/** What the farm knows already. */
export interface Known {
  readonly find: Find
  /** Names of the other trials. */
  readonly names: readonly string[]
  /** The trial that is changed, and how many of its pieces were drawn. */
  readonly before: { readonly trial: Trial; readonly drawn: number } | null
}

/** The fields as a record keeps them, but for the seed; or a sentence. */
export type Read = { readonly ok: true; readonly fields: Record<string, FieldValue> } | { readonly ok: false; readonly why: string }

const no = (why: string): Read => ({ ok: false, why })

/** What is wrong with the arms; null where nothing is. */
export function armsProblem({ varies, arms }: Pick<TrialDraft, 'varies' | 'arms'>, find: Find): string | null {
  if (arms.length < 2) return t('trials.plan.wrong.arms')
  if (arms.length > ARMS_MOST) return t('trials.plan.wrong.armsMost', { most: ARMS_MOST })
  if (new Set(arms).size < arms.length) return t('trials.plan.wrong.twice')
  const gone = varies === 'mouths' ? undefined : arms.find((arm) => find(arm)?.retired !== false)
  return gone === undefined ? null : t('trials.plan.wrong.retired', { name: itemName(gone, find) })
}

/** The difference as a whole number, or a sentence. */
export function readDifference({ endpoint, difference }: Pick<TrialDraft, 'endpoint' | 'difference'>): number | string {
  const most = endpoint === 'lost' ? 100 : DAYS_MOST
  const value = readWhole(difference, 0, 999_999)
  if (value === undefined) return t('trials.plan.wrong.difference')
  if (value === 0) return t('trials.plan.wrong.nothing')
  if (value !== null && value <= most) return value
  return endpoint === 'lost' ? t('trials.plan.wrong.hundred') : t('trials.plan.wrong.days', { most })
}

function changed({ trial }: { readonly trial: Trial }, draft: TrialDraft, difference: number): boolean {
  const same = [...trial.arms].sort().join() === [...draft.arms].sort().join()
  return !same || trial.varies !== draft.varies || trial.endpoint !== draft.endpoint || trial.difference !== difference
}

export function readDraft(draft: TrialDraft, { find, names, before }: Known): Read {
  const name = draft.name.trim()
  const difference = readDifference(draft)
  const arms = armsProblem(draft, find)
  const cuts = readWhole(draft.cuts, CUTS_LEAST, CUTS_MOST)
  if (name === '') return no(t('trials.plan.wrong.name'))
  if (names.some((one) => one.toLowerCase() === name.toLowerCase())) return no(t('trials.plan.wrong.nameTaken', { name }))
  // What has been drawn stands: a base that was retired since is no reason to keep a name from changing.
  const drawn = before !== null && before.drawn > 0
  if (typeof difference === 'string') return no(difference)
  if (drawn && changed(before, draft, difference)) return no(t('trials.plan.wrong.drawn', { count: before.drawn }))
  if (!drawn && arms !== null) return no(arms)
  if (!/^\d{4}-\d\d-\d\d$/.test(draft.begins)) return no(t('trials.plan.wrong.begins'))
  if (typeof cuts !== 'number') return no(t('trials.plan.wrong.cuts', { least: CUTS_LEAST, most: CUTS_MOST }))
  const { varies, endpoint, begins } = draft
  return { ok: true, fields: { name, varies, arms: [...draft.arms], endpoint, difference, cuts, begins } }
}

/** 16 bytes that nobody chose, as hexadecimal digits: what the trial's draws are made from. */
export function newSeed(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('')
}
