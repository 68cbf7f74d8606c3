/** What is tapped in a check, and the record's body it makes. Pure. */
import type { BodyOf } from '../records/kinds.ts'
import type { Encrustation, Expansion, Mouth, Recession, Sign } from '../records/fields.ts'
import type { PieceState } from '../stock/state.ts'

/** 'Not seen' is an answer: it was asked, and nothing is recorded for it. */
export const UNSEEN = 'unseen'
type Asked<T> = T | typeof UNSEEN | null

export interface Answers {
  readonly mouth: Asked<Mouth>
  readonly encrustation: Asked<Encrustation>
  readonly recession: Asked<Recession>
  readonly expansion: Expansion | null
  readonly signs: readonly Sign[]
  readonly lights: 'on' | 'off' | null
  readonly planned: boolean | null
}

export const NONE: Answers = {
  mouth: null,
  encrustation: null,
  recession: null,
  expansion: null,
  signs: [],
  lights: null,
  planned: null,
}

export const SIGNS: readonly Sign[] = [
  'algae', 'bleached', 'sloughing', 'brown-jelly', 'skeleton', 'pest', 'loose', 'retracted',
]

function seen<T>(answer: Asked<T>): answer is T {
  return answer !== null && answer !== UNSEEN
}

/** Only what was looked at is in the body; the rest is absent. */
export function bodyOf(answers: Answers): BodyOf<'check'> {
  const { mouth, encrustation, recession, expansion, signs, lights, planned } = answers
  return {
    ...(expansion !== null && { expansion }),
    ...(seen(mouth) && { mouth }),
    ...(seen(encrustation) && { encrustation }),
    ...(seen(recession) && { recession }),
    ...(signs.length > 0 && { signs: SIGNS.filter((sign) => signs.includes(sign)) }),
    ...(lights !== null && { lights }),
    ...(planned !== null && { planned }),
  }
}

/** Whether a person answered anything, 'not seen' included: else there is nothing to save. */
export function anything(answers: Answers): boolean {
  const { mouth, encrustation, recession, expansion, signs } = answers
  return [mouth, encrustation, recession, expansion].some((answer) => answer !== null) || signs.length > 0
}

/**
 * The three answers of last time again, for a piece that looks the same; null where there is no
 * last time. Signs and expansion change from hour to hour and are not repeated.
 */
export function sameAgain(state: PieceState): Answers | null {
  const { mouth, encrustation, recession } = state
  if (state.checks === 0 || (mouth === null && encrustation === null && recession === null)) return null
  return { ...NONE, mouth, encrustation, recession }
}
