/** Numbers as people type them, and the cut number a piece will carry. Pure. */
import type { Purpose } from '../records/fields.ts'
import type { CutNumber } from '../stock/lineage.ts'
import type { Settings } from '../stock/lists.ts'

const DIGITS = /^-?[0-9]{1,9}(\.[0-9]{1,6})?$/

/** As a record keeps it, with a point; a comma is read as one. Null where it is no number. */
export function readDigits(text: string): string | null {
  const plain = text.trim().replace(',', '.')
  return DIGITS.test(plain) ? plain : null
}

/** A whole number from `low` to `high`; undefined where nothing was typed, null where it is wrong. */
export function readWhole(text: string, low: number, high: number): number | null | undefined {
  const plain = text.trim()
  if (plain === '') return undefined
  const value = /^[0-9]{1,6}$/.test(plain) ? Number(plain) : NaN
  return value >= low && value <= high ? value : null
}

/** Dose for each litre times litres; six decimals, as many as may be typed. */
export function amountFor(dose: string, litres: string): number {
  return Number((Number(dose) * Number(litres)).toFixed(6))
}

/** A glued piece adds one to its mother's number, unless the farm lets held-back ones keep hers. */
export function carries(
  mother: CutNumber,
  purpose: Purpose,
  settings: Pick<Settings, 'held_back_keeps'>,
): CutNumber {
  return purpose === 'hold' && settings.held_back_keeps ? mother : { base: mother.base, plus: mother.plus + 1 }
}

/**
 * Ways of cutting without a driven blade: the saw's cautions would only be noise there. A name that
 * speaks of anything driven ("hand-held rotary tool") keeps them: a caution too many hurts nobody.
 */
export function isByHand(methodKey: string, methodName: string): boolean {
  const words = `${methodKey} ${methodName}`
  if (/rotary|power|electric|motor|driven|band|wet|tile|disc|wheel/i.test(words)) return false
  return /hand|chisel|cutter|pliers|snap|scissor|break/i.test(words)
}
