/** What the screens of families ask of this phone; without a network. */
import { localDay } from '../stock/days.ts'
import { settingsOf } from '../stock/lists.ts'
import { view, type Family } from '../sync/family.ts'
import { subjectKey } from '../sync/keep.ts'
import { phone } from '../sync/phone.svelte.ts'
import { counts } from '../sync/refold.ts'
import type { CutRow, PieceRow, Read } from '../sync/schema.ts'
import type { PieceView } from '../sync/views.ts'
import { onColour, type ColourNote } from './colour.ts'
import { plant, type CutFact, type Families } from './tree.ts'

export type Woods = Families<PieceView>

/** Every family on this phone: three reads, however many pieces there are. */
export function allFamilies(): Promise<Woods> {
  return phone.read(familiesIn)
}

export async function familiesIn(tx: Read): Promise<Woods> {
  const [pieces, cuts, items] = await Promise.all([
    tx.objectStore('pieces').getAll(),
    tx.objectStore('cuts').getAll(),
    tx.objectStore('items').getAll(),
  ])
  const settings = settingsOf(items.find(({ id }) => id === 'settings'))
  const tanks = new Map(items.map(({ id, tank }) => [id, tank]))
  const family = { ...kinship(pieces, cuts), settings, tankOf: (tray: string) => tanks.get(tray) ?? null }
  return plant(pieces.map((row) => view(row, family)), cuts.map((cut) => fact(cut, settings.zone)))
}

function kinship(pieces: readonly PieceRow[], cuts: readonly CutRow[]): Pick<Family, 'kin' | 'mother'> {
  const kin = new Map(pieces.map(({ id, state }) => [id, { state, glued: state.glued_for }]))
  const mothers = new Map(cuts.map(({ id, mother }) => [id, mother]))
  return { kin: (piece) => kin.get(piece), mother: (cut) => mothers.get(cut) }
}

function fact({ id, mother, at, body, gone }: CutRow, zone: string): CutFact {
  return { id, mother, at, day: localDay(at, zone), method: body.method, gone }
}

/** What was noted of the colour of these pieces, oldest first. Of closed pieces only what is still here. */
export function colourOf(pieces: readonly string[]): Promise<ColourNote[]> {
  return phone.read((tx) => colourIn(tx, pieces))
}

export async function colourIn(tx: Read, pieces: readonly string[]): Promise<ColourNote[]> {
  const index = tx.objectStore('records').index('subject')
  // Asked for all at once: one after another would be a wait a piece.
  const found = await Promise.all(pieces.map((id) => index.getAll(subjectKey('piece', id))))
  return found.flat().filter(counts).flatMap(onColour).sort((a, b) => a.at - b.at || (a.record < b.record ? -1 : 1))
}
