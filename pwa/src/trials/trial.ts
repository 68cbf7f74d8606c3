/** A trial as its list entry tells it, and what its arms are called. Pure. */
import { comparisonOf, type Comparison } from '../healing/comparison.ts'
import type { Source } from '../healing/kept-reports.ts'
import { EVERYTHING, type Asked } from '../healing/question.ts'
import type { Question } from '../healing/report.ts'
import type { Key, MouthsKept } from '../records/fields.ts'
import { nameOf, type Item } from '../stock/lists.ts'
import { itemName, type Find } from '../stock/view.ts'
import { t } from '../words/index.ts'
import type { Plan } from './draw.ts'

export const VARIES = ['base', 'mouths', 'method'] as const
export type Varies = (typeof VARIES)[number]
export const ENDPOINTS = ['sale', 'cut', 'lost'] as const
/** Days until ready for sale or to be cut again, or lost by day 180. */
export type TrialEndpoint = (typeof ENDPOINTS)[number]
/** The arms of a trial of mouths kept; `whole` is at least one. */
export const MOUTH_ARMS = ['none', 'part', 'whole'] as const

export interface Trial {
  readonly id: Key
  readonly name: string
  readonly varies: Varies
  /** Keys of methods or base kinds, or what is kept of the mouth. */
  readonly arms: readonly Key[]
  readonly endpoint: TrialEndpoint
  /** The difference worth knowing: days, or pieces in a hundred. */
  readonly difference: number
  /** How many cuts are planned; a mother in one sitting counts once. */
  readonly cuts: number
  readonly seed: string
  /** A local date. */
  readonly begins: string
  readonly ended: boolean
}

const isOneOf = <T extends string>(all: readonly T[], value: unknown): value is T => all.includes(value as T)

/** A draw spends a byte on a place in a block, which holds each arm twice: of more none would come. */
const MOST_ARMS = 128

/** Null where the entry is no trial that this version can draw for. */
export function readTrial(item: Item | undefined): Trial | null {
  if (item?.list !== 'trial') return null
  const { varies, arms, endpoint, difference, cuts, seed, begins } = item.fields
  if (!isOneOf(VARIES, varies) || !isOneOf(ENDPOINTS, endpoint) || !Array.isArray(arms) || typeof seed !== 'string') return null
  if (arms.length < 2 || arms.length > MOST_ARMS || typeof begins !== 'string' || typeof difference !== 'number' || typeof cuts !== 'number') return null
  return { id: item.id, name: nameOf(item), varies, arms, endpoint, difference, cuts, seed, begins, ended: item.retired }
}

/** Every trial this version understands, those that have ended last. */
export function trialsOf(items: readonly Item[]): Trial[] {
  const found = items.map(readTrial).filter((trial) => trial !== null)
  return [...found.filter((trial) => !trial.ended), ...found.filter((trial) => trial.ended)]
}

/** Cuts may be made for it on this day. */
export function isOn(trial: Trial, today: string): boolean {
  return !trial.ended && trial.begins <= today
}

/** A method is drawn for a whole part of a mother, since one cut has one method. */
export function planOf({ id, seed, arms, varies }: Trial): Plan {
  return { trial: id, seed, arms, parts: varies === 'method' }
}

/** How its arms healed, as the server is asked; a trial of losses takes readiness for sale. */
export function healingOf({ id, endpoint }: Trial): Question {
  return { name: `nubbin.trial.${id}`, query: `trial=${encodeURIComponent(id)}&endpoint=${endpoint === 'cut' ? 'cut' : 'sale'}` }
}

/** The same on the screens of Healing. */
export function askedOf({ id, endpoint }: Trial): Asked {
  return { ...EVERYTHING, by: 'arm', trial: id, endpoint: endpoint === 'cut' ? 'cut' : 'sale' }
}

/** Its arms two by two, within each mother as they were drawn; kept with the trial. */
export function pairsOf(trial: Trial): Source<Comparison> {
  return { ...comparisonOf(askedOf(trial)), name: `nubbin.trial.${trial.id}.pairs`, passing: false }
}

export function armName(varies: Varies, arm: Key, find: Find): string {
  if (varies !== 'mouths') return itemName(arm, find)
  return isOneOf(MOUTH_ARMS, arm) ? t(`trials.mouth.${arm}`) : arm
}

/** What a piece that was drawn for the arm is set to keep of the mouth. */
export function mouthsFor(arm: Key): MouthsKept | null {
  if (arm === 'whole') return 1
  return arm === 'none' || arm === 'part' ? arm : null
}

/** How a piece was really made. */
export interface Done {
  readonly method: Key
  readonly base: Key | null
  readonly mouths: MouthsKept | null
}

/** Whether what was done is what was drawn. Not noted is not as drawn. */
export function asDrawn(varies: Varies, arm: Key, { method, base, mouths }: Done): boolean {
  if (varies === 'method') return method === arm
  if (varies === 'base') return base === arm
  return arm === 'whole' ? typeof mouths === 'number' : mouths === arm
}
