/** What the screens ask of trials; from what is on this phone, without a network. */
import type { Id, Key } from '../records/fields.ts'
import { phone } from '../sync/phone.svelte.ts'
import type { Glued } from './progress.ts'
import { findGlued, findLot, findPart, type Lot } from './rows.ts'
import type { Trial } from './trial.ts'

export type { Lot } from './rows.ts'

/** For the part of a mother that is to be cut next in a trial of methods. */
export function nextPart(trial: Trial, mother: Id): Promise<Lot> {
  return phone.read((tx) => findPart(tx, trial, mother))
}

/** For the next piece of a cut; null where the cut is in no trial that is known here. */
export function lotFor(cut: Id): Promise<Lot | null> {
  return phone.read((tx) => findLot(tx, cut))
}

/** Every piece glued in the trial's cuts. */
export function gluedIn(trial: Key): Promise<Glued[]> {
  return phone.read((tx) => findGlued(tx, trial))
}
