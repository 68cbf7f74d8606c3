/** What the lists' screens ask of this phone; without a network. */
import type { Key } from '../records/fields.ts'
import { takesBack, type RecordOf } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import type { Item } from '../stock/lists.ts'
import { readPlace, within, type Spot } from '../stock/places.ts'
import { isClosed } from '../stock/state.ts'
import { subjectKey } from '../sync/keep.ts'
import { phone } from '../sync/phone.svelte.ts'
import { findPieces } from '../sync/queries.ts'
import type { Read, RecordRow } from '../sync/schema.ts'
import type { Told } from './history.ts'
import { NOTHING, type Usage } from './usage.ts'

/** Every record about an entry that is on this phone: of its fields, and where a tray was stood. */
export function toldOf(id: Key): Promise<Told[]> {
  return phone.read((tx) => readTold(tx, id))
}

export async function readTold(tx: Read, id: Key): Promise<Told[]> {
  const index = tx.objectStore('records').index('subject')
  const rows = [...(await index.getAll(subjectKey('item', id))), ...(await index.getAll(subjectKey('tray', id)))]
  const told: Told[] = []
  for (const row of rows) told.push({ at: row.at, record: lifted(row.record), sent: await fate(tx, row), back: await backOf(tx, row) })
  return told
}

async function fate(tx: Read, { id, seq, refused, held }: RecordRow): Promise<Told['sent']> {
  if (refused) return 'refused'
  if (seq !== null) return 'sent'
  if (held) return 'held'
  const waiting = await tx.objectStore('outbox').index('record').get(id)
  return waiting?.state ?? 'sent'
}

/** The earliest retraction of a record that stands. */
async function backOf(tx: Read, { id, gone }: RecordRow): Promise<Told['back']> {
  if (!gone) return null
  const rows = await tx.objectStore('records').index('subject').getAll(subjectKey('record', id))
  const [first] = rows.filter((row) => takesBack(row.record) && !row.refused && !row.held).sort((a, b) => a.at - b.at)
  if (!first) return null
  const { staff, body } = first.record as RecordOf<'retract'>
  return { staff, at: first.at, why: body.why }
}

/** How much an entry is used. */
export function usageOf(item: Item): Promise<Usage> {
  return phone.read((tx) => readUsage(tx, item))
}

export async function readUsage(tx: Read, { id, list }: Item): Promise<Usage> {
  if (list === 'species') return ofPieces((await findPieces(tx, { species: id })).map(({ state }) => isClosed(state)))
  const states = (await tx.objectStore('pieces').getAll()).map(({ state }) => state)
  const items = (await tx.objectStore('items').getAll()).filter((one) => one.list !== '')
  const cuts = (await tx.objectStore('cuts').getAll()).filter(({ gone }) => !gone)
  switch (list) {
    case 'base':
      return ofPieces(states.filter(({ base }) => base === id).map(isClosed))
    case 'tray':
      return ofPieces(states.filter(({ tray }) => tray === id).map(isClosed))
    case 'tank': {
      const trays = items.filter((one) => one.list === 'tray' && one.tank === id && !one.retired).length
      return { ...ofPieces(states.filter(({ tank, tray }) => tank === id && tray === null).map(isClosed)), trays }
    }
    case 'method': {
      const blades = items.filter((one) => one.list === 'blade' && one.fields['method'] === id).length
      return { ...NOTHING, cuts: cuts.filter(({ body }) => body.method === id).length, blades }
    }
    case 'blade':
      return { ...NOTHING, cuts: cuts.filter(({ body }) => body.blade === id).length }
    default:
      return { ...NOTHING, losses: states.filter(({ loss }) => loss?.cause === id).length }
  }
}

function ofPieces(closed: readonly boolean[]): Usage {
  return { ...NOTHING, pieces: closed.length, open: closed.filter((one) => !one).length }
}

/** Places of open pieces in a tray that a map of this size would not have. */
export function beyond(tray: Key, map: Spot | null): Promise<string[]> {
  return phone.read(async (tx) => {
    const rows = await tx.objectStore('pieces').index('tray').getAll(tray)
    const places = rows.filter(({ state }) => !isClosed(state)).flatMap(({ state }) => state.place ?? [])
    return places.filter((place) => {
      const spot = readPlace(place)
      return spot !== null && !within(spot, map)
    }).sort()
  })
}
