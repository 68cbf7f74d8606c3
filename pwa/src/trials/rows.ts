/** What trials read of the phone's own database. */
import { inOrder } from '../records/kinds.ts'
import type { Id, Key } from '../records/fields.ts'
import type { CutRow, PieceRow, Read } from '../sync/schema.ts'
import { nextArm } from './draw.ts'
import type { Glued } from './progress.ts'
import { planOf, readTrial, type Trial } from './trial.ts'

/** What the next piece of an open cut was drawn for. */
export interface Lot {
  readonly trial: Trial
  readonly arm: Key
  /** Where whole parts of a mother are drawn: which of how many this cut is. */
  readonly part: { readonly number: number; readonly of: number } | null
}

async function cutsOf(tx: Read, trial: Key, mother?: Id): Promise<CutRow[]> {
  const cuts = tx.objectStore('cuts')
  const rows = mother === undefined ? await cuts.getAll() : await cuts.index('mother').getAll(mother)
  const found = rows.filter((cut) => !cut.gone && cut.body.trial === trial)
  return found.sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1))
}

async function piecesOf(tx: Read, cut: Id): Promise<PieceRow[]> {
  const rows = await tx.objectStore('pieces').index('cut').getAll(cut)
  return rows.filter(({ state }) => state.begun?.kind === 'glue')
}

async function armsOf(tx: Read, cut: Id): Promise<Key[]> {
  return (await piecesOf(tx, cut)).flatMap(({ state }) => (state.arm === null ? [] : [state.arm]))
}

/**
 * The arm of each part that was cut, in order: as its pieces say, or as drawn while none is glued.
 * The last is that of the part to come.
 */
async function partsOf(tx: Read, trial: Trial, mother: Id, cuts: readonly CutRow[]): Promise<Key[]> {
  const arms: Key[] = []
  for (const cut of cuts) arms.push((await armsOf(tx, cut.id))[0] ?? nextArm(planOf(trial), mother, arms))
  return [...arms, nextArm(planOf(trial), mother, arms)]
}

const partAt = (trial: Trial, arms: readonly Key[], at: number): Lot => {
  const of = trial.arms.length
  return { trial, arm: arms[at] ?? '', part: { number: (at % of) + 1, of } }
}

/** For the part of a mother that is to be cut next in a trial of methods. */
export async function findPart(tx: Read, trial: Trial, mother: Id): Promise<Lot> {
  const cuts = await cutsOf(tx, trial.id, mother)
  return partAt(trial, await partsOf(tx, trial, mother, cuts), cuts.length)
}

/** For the next piece of a cut; null where the cut is in no trial that is known here. */
export async function findLot(tx: Read, cut: Id): Promise<Lot | null> {
  const row = await tx.objectStore('cuts').get(cut)
  const named = row?.body.trial
  const trial = named === undefined ? null : readTrial(await tx.objectStore('items').get(named))
  if (!row || !trial) return null
  const cuts = await cutsOf(tx, trial.id, row.mother)
  if (trial.varies === 'method') {
    const at = cuts.findIndex((one) => one.id === cut)
    // Taken back meanwhile: it is no part of her any more.
    if (at < 0) return null
    return partAt(trial, await partsOf(tx, trial, row.mother, cuts), at)
  }
  const standing: Key[] = []
  for (const one of cuts) standing.push(...(await armsOf(tx, one.id)))
  return { trial, arm: nextArm(planOf(trial), row.mother, standing), part: null }
}

/** The base at gluing: only a mother may have been given another since. */
async function baseOf(tx: Read, { id, state }: PieceRow): Promise<Key | null> {
  if (state.cuts === 0) return state.base
  const rows = await tx.objectStore('records').index('piece').getAll(id)
  const glued = rows.sort(inOrder).find((row) => row.id === state.begun?.record)?.record
  return glued?.kind === 'glue' ? (glued.body as { base: Key }).base : state.base
}

/** Every piece glued in the trial's cuts. */
export async function findGlued(tx: Read, trial: Key): Promise<Glued[]> {
  const found: Glued[] = []
  for (const cut of await cutsOf(tx, trial)) {
    for (const piece of await piecesOf(tx, cut.id)) {
      const done = { method: cut.body.method, base: await baseOf(tx, piece), mouths: piece.state.mouths_kept }
      found.push({ cluster: `${cut.body.sitting} ${cut.mother}`, state: piece.state, done })
    }
  }
  return found
}
