/** A dip as it is typed, and as a record keeps it. Pure. */
import { readDigits } from '../cuts/numbers.ts'
import type { BodyOf } from '../records/kinds.ts'
import { t } from '../words/index.ts'

/** The record's body, or the sentence that says what is wrong. What was typed is never left out. */
export function readDip(name: string, amount: string, unit: string): BodyOf<'care'> | string {
  const [what, dose, each] = [name.trim(), amount.trim(), unit.trim()]
  const digits = dose === '' ? undefined : readDigits(dose)
  if (what === '') return t('piece.dip.needName')
  if (digits === null || (digits === undefined) !== (each === '')) return t('piece.dip.amountBad')
  return { what: 'dip', name: what, ...(digits !== undefined && { amount: digits, unit: each }) }
}
