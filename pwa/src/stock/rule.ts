/**
 * The rule of a species that proposes readiness, and whether a piece's own looks meet it. Pure. It
 * only proposes: ready is what a person records, and no rule enters the fold.
 *
 * How looks are read, in order of time:
 * - A look speaks against the rule where a part that is asked was seen to fall short, or a sign that
 *   the farm has named was seen. That ends the run; the next one begins after it.
 * - What was not looked at counts as neither. A look counts for the run where every part that is
 *   asked was seen and met in it, but for one carry: how much of the base is covered may be known
 *   from an earlier look of the same run, since it changes slowly and is not seen at night.
 * - 'Feeding' is told only with the lights off. A look without them off that sees an open mouth and
 *   no feeding says nothing about it; a bud or no mouth at all speaks against it at any hour.
 * - A sign counts only against: none ticked may mean none seen or none looked for.
 * - Looks less than twelve hours apart are one look, of what was seen in either: a second tap on the
 *   same visit is no second check, and an evening's look adds to the day's.
 * - A cut begins anew: what was seen of the piece before it says nothing of what is healing now.
 */
import type { Encrustation, Endpoint, FieldValue, Mouth, Recession, Sign } from '../records/fields.ts'
import { isKnown, type BodyOf } from '../records/kinds.ts'
import type { PieceRecord, WholePiece } from '../sync/views.ts'
import type { Item } from './lists.ts'

export interface Rule {
  readonly mouth: Mouth | null
  readonly encrustation: Encrustation | null
  /** The most that is allowed. */
  readonly recession: Recession | null
  readonly signs: readonly string[]
  readonly checks: number
}

export type Look = BodyOf<'check'>
export type Missing =
  | { readonly what: 'mouth'; readonly seen: Mouth | null; readonly asked: Mouth }
  | { readonly what: 'encrustation'; readonly seen: Encrustation | null; readonly asked: Encrustation }
  | { readonly what: 'recession'; readonly seen: Recession | null; readonly asked: Recession }
  | { readonly what: 'sign'; readonly sign: Sign }
  | { readonly what: 'run'; readonly run: number; readonly checks: number }
  | { readonly what: 'checks' }

export interface Judged {
  readonly met: boolean
  /** How many looks in a row count, up to the last one. */
  readonly run: number
  /** What the last look lacked, and how far the run is; empty where the rule is met. */
  readonly missing: readonly Missing[]
}

export const MOUTHS = ['none', 'bud', 'open', 'feeding'] as const satisfies readonly Mouth[]
export const RECESSIONS = ['none', 'rim', 'quarter', 'half', 'more'] as const satisfies readonly Recession[]

/** The rule in a species' fields; null where none is set, which is where no part is asked. */
export function ruleOf(fields: Readonly<Record<string, FieldValue>>, endpoint: Endpoint): Rule | null {
  const field = (name: string) => fields[`${endpoint}_${name}`]
  const mouth = MOUTHS.find((one) => one === field('mouth') && one !== 'none') ?? null
  const recession = RECESSIONS.find((one) => one === field('recession') && one !== 'more') ?? null
  const encrustation = ([1, 2, 3, 4] as const).find((one) => one === field('encrustation')) ?? null
  if (mouth === null && recession === null && encrustation === null) return null
  const [signs, checks] = [field('signs'), field('checks')]
  const times = typeof checks === 'number' && Number.isInteger(checks) && checks > 0 ? checks : 1
  return { mouth, encrustation, recession, signs: Array.isArray(signs) ? signs : [], checks: times }
}

/** Whether these looks, oldest first, meet the rule, and what is missing. */
export function judge(rule: Rule, looks: readonly Look[]): Judged {
  let run = 0
  let covered = false
  let missing: Missing[] = []
  for (const look of looks) {
    const { against, unseen } = compare(rule, look)
    missing = [...against, ...unseen]
    if (against.length > 0) {
      run = 0
      covered = false
      continue
    }
    const lacking = unseen.filter((part) => !(part.what === 'encrustation' && covered))
    covered ||= rule.encrustation !== null && look.encrustation !== undefined
    missing = lacking
    if (lacking.length === 0 && unseen.length < parts(rule)) run += 1
  }
  if (run >= rule.checks) return { met: true, run, missing: [] }
  if (looks.length === 0) return { met: false, run, missing: [{ what: 'checks' }] }
  return { met: false, run, missing: run > 0 ? [{ what: 'run', run, checks: rule.checks }, ...missing] : missing }
}

function parts(rule: Rule): number {
  return [rule.mouth, rule.encrustation, rule.recession].filter((part) => part !== null).length
}

/** What of one look falls short, and what it leaves open. */
function compare(rule: Rule, look: Look): { against: Missing[]; unseen: Missing[] } {
  const [against, unseen]: [Missing[], Missing[]] = [[], []]
  const { mouth, encrustation, recession } = look
  if (rule.mouth !== null) {
    const part = { what: 'mouth', seen: mouth ?? null, asked: rule.mouth } as const
    const byDay = rule.mouth === 'feeding' && mouth === 'open' && look.lights !== 'off'
    if (mouth === undefined || byDay) unseen.push(part)
    else if (MOUTHS.indexOf(mouth) < MOUTHS.indexOf(rule.mouth)) against.push(part)
  }
  if (rule.encrustation !== null) {
    const part = { what: 'encrustation', seen: encrustation ?? null, asked: rule.encrustation } as const
    if (encrustation === undefined) unseen.push(part)
    else if (encrustation < rule.encrustation) against.push(part)
  }
  if (rule.recession !== null) {
    const part = { what: 'recession', seen: recession ?? null, asked: rule.recession } as const
    if (recession === undefined) unseen.push(part)
    else if (RECESSIONS.indexOf(recession) > RECESSIONS.indexOf(rule.recession)) against.push(part)
  }
  for (const sign of look.signs ?? []) if (rule.signs.includes(sign)) against.push({ what: 'sign', sign })
  return { against, unseen }
}

/**
 * A piece's own looks, oldest first: no sweeps, nothing taken back or refused, nothing from before
 * it was glued or from before it was last cut itself.
 */
export function looksOf(records: readonly PieceRecord[], begun: string | null): Look[] {
  let looks: Look[] = []
  let first = -Infinity
  for (const { at, record, retracted, sent } of records) {
    if (retracted || sent === 'refused' || !isKnown(record)) continue
    if (record.kind === 'cut' || record.id === begun) [looks, first] = [[], -Infinity]
    if (record.kind !== 'check' || record.body.swept) continue
    const before = at - first < ONE_LOOK_MS ? looks.pop() : undefined
    if (before === undefined) first = at
    looks.push(before === undefined ? record.body : together(before, record.body))
  }
  return looks
}

/** What was seen in either; the later says more, but for a mouth that was seen with the lights off. */
function together(before: Look, after: Look): Look {
  const night = before.lights === 'off' && before.mouth !== undefined && after.lights !== 'off'
  return { ...before, ...after, ...(night && { mouth: before.mouth, lights: 'off' as const }) }
}

const ONE_LOOK_MS = 12 * 3_600_000

export interface Proposal extends Judged {
  readonly endpoint: Endpoint
  readonly rule: Rule
}

/**
 * How far a piece is by its species' rules, for each readiness that is asked about and not recorded
 * yet. Nothing for a colony, which was never glued, and for a piece that is lost or gone.
 */
export function proposals({ state, records }: Pick<WholePiece, 'state' | 'records'>, species: Item | undefined): Proposal[] {
  if (!species || state.begun?.kind !== 'glue' || state.loss || state.exit) return []
  const looks = looksOf(records, state.begun.record)
  return (['sale', 'cut'] as const).flatMap((endpoint) => {
    const rule = state[endpoint === 'sale' ? 'ready_sale' : 'ready_cut'] === null ? ruleOf(species.fields, endpoint) : null
    return rule ? [{ endpoint, rule, ...judge(rule, looks) }] : []
  })
}
