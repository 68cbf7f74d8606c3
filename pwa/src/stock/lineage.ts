/**
 * Lineage is resolved on reading: a glued piece's species and line are its mother's, and its cut
 * number follows from its forebears'. Nothing of it is stored, so a correction to a colony is
 * seen at once in everything that was cut from it.
 */
import type { Settings } from './lists.ts'
import type { PieceState } from './state.ts'

/** How many cuts lie between a piece and the wild: base + plus; `base` null where unknown. */
export interface CutNumber {
  readonly base: number | null
  readonly plus: number
}

/** What of a piece's gluing decides its lineage: its state and the purpose it was glued for. */
export interface Kin {
  readonly state: PieceState
  /** Purpose at gluing, which a later change of purpose does not alter; null for a colony. */
  readonly glued: 'sale' | 'hold' | null
}

export interface Kinship {
  readonly kin: (piece: string) => Kin | undefined
  /** The mother of a cut; undefined where the phone has not heard of the cut yet. */
  readonly mother: (cut: string) => string | undefined
}

export interface Step {
  readonly id: string
  readonly cut: string
}

/** Mothers of a piece, nearest first. Ends at an arrival, an unknown cut, or where a loop closes. */
export function forebears(piece: string, kinship: Kinship): Step[] {
  const seen = new Set([piece])
  const steps: Step[] = []
  let cut = kinship.kin(piece)?.state.cut ?? null
  while (cut !== null) {
    const id = kinship.mother(cut)
    if (id === undefined || seen.has(id)) break
    seen.add(id)
    steps.push({ id, cut })
    cut = kinship.kin(id)?.state.cut ?? null
  }
  return steps
}

export interface Descent {
  readonly species: string | null
  readonly line: string | null
  readonly number: CutNumber
}

/** Species, line and cut number of a piece, from the colony at the end of its lineage. */
export function descent(
  piece: string,
  kinship: Kinship,
  settings: Pick<Settings, 'wild_number' | 'held_back_keeps'>,
): Descent {
  const chain = [piece, ...forebears(piece, kinship).map((step) => step.id)]
  const origin = kinship.kin(chain.at(-1) ?? piece)?.state
  const plus = chain.filter((id) => counts(kinship.kin(id), settings.held_back_keeps)).length
  const known = origin?.begun?.kind === 'arrival'
  return {
    species: known ? origin.species : null,
    line: known ? origin.line : null,
    number: { base: known ? arrivalNumber(origin, settings.wild_number) : null, plus },
  }
}

function arrivalNumber(state: PieceState, wild: number): number | null {
  return state.origin === 'wild' ? wild : state.cut_number
}

/** Whether a piece's own gluing adds one to its mother's number. */
function counts(kin: Kin | undefined, heldBackKeeps: boolean): boolean {
  if (kin?.state.begun?.kind !== 'glue') return false
  return !(heldBackKeeps && kin.glued === 'hold')
}

/** `3`, or `?+2` where it is unknown what the colony at the end counted. */
export function numberText(number: CutNumber): string {
  return number.base === null ? `?+${number.plus}` : String(number.base + number.plus)
}
