/** Folding again, inside the transaction that changed something, whatever the change has touched. */
import { inOrder, isKnown, type RecordOf } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import { fold, follows, step } from '../stock/fold.ts'
import { foldItem, settingsOf } from '../stock/lists.ts'
import { earlier, type PieceState } from '../stock/state.ts'
import { subjectKey, type Touched } from './keep.ts'
import type { CutRow, PieceRow, Read, RecordRow, Write } from './schema.ts'

const NONE: ReadonlySet<string> = new Set()

/** Bring lists, cuts and pieces up to date with their records. */
export async function refold(tx: Write, touched: Touched): Promise<void> {
  const before = await zoneOf(tx)
  for (const id of touched.items) await refoldItem(tx, id)
  const zone = await zoneOf(tx)
  for (const id of touched.cuts) await refoldCut(tx, id, touched)
  if (zone !== before) {
    // Every date may now be another one. States that came without records wait for the server's.
    for (const id of await tx.objectStore('pieces').getAllKeys()) touched.pieces.add(id)
  }
  for (const id of touched.pieces) await refoldPiece(tx, id, zone)
}

/** The facility's zone, in which days are counted. */
export async function zoneOf(tx: Read): Promise<string> {
  return settingsOf(await tx.objectStore('items').get('settings')).zone
}

/**
 * Whether a record counts in a fold. A list changes for all phones or for none: a change that waits
 * for a lead's word would have this one alone count days in another zone.
 */
export function counts(row: RecordRow): boolean {
  return !row.gone && !row.refused && !(row.held && row.record.kind === 'define')
}

/** The row with its record in today's version, for reading; what is stored stays as it came. */
export function asToday(row: RecordRow): RecordRow {
  const record = lifted(row.record)
  return record === row.record ? row : { ...row, record }
}

async function refoldItem(tx: Write, id: string): Promise<void> {
  const index = tx.objectStore('records').index('subject')
  const rows = [
    ...(await index.getAll(subjectKey('item', id))),
    ...(await index.getAll(subjectKey('tray', id))),
    ...(await index.getAll(subjectKey('tank', id))),
  ]
  await tx.objectStore('items').put(foldItem(id, rows.filter(counts).map(asToday), NONE))
}

/** A cut is what the earliest of its records says that stands, else the earliest of all. */
async function refoldCut(tx: Write, id: string, touched: Touched): Promise<void> {
  const rows = await tx.objectStore('records').index('subject').getAll(subjectKey('cut', id))
  const made = rows.map(asToday).filter(isCut)
  made.sort((a, b) => Number(!counts(a)) - Number(!counts(b)) || inOrder(a, b))
  const [first] = made
  if (!first) return
  const { body } = first.record
  const row: CutRow = {
    id,
    record: first.id,
    at: first.at,
    mother: body.mother,
    gone: !counts(first),
    body,
  }
  await tx.objectStore('cuts').put(row)
  for (const end of rows.filter((other) => other.record.kind === 'cut_end')) {
    if (end.piece !== null) touched.pieces.add(end.piece)
    touched.pieces.add(row.mother)
    if (end.piece !== row.mother) await tx.objectStore('records').put({ ...end, piece: row.mother })
  }
}

function isCut(row: RecordRow): row is RecordRow & { readonly record: RecordOf<'cut'> } {
  return row.record.kind === 'cut' && isKnown(row.record)
}

async function refoldPiece(tx: Write, id: string, zone: string): Promise<void> {
  const pieces = tx.objectStore('pieces')
  const known = await pieces.get(id)
  const rows = (await tx.objectStore('records').index('piece').getAll(id)).map(asToday)
  const base = known?.base ?? null
  const state = base ? onTop(base, rows, zone) : fold(id, rows.filter(counts), NONE, zone)
  await putPiece(tx, { id, state, base, held: known?.held ?? [], codes: known?.codes ?? [] })
}

/** The server's state with the newer records of this phone added. */
export function onTop(base: PieceState, rows: readonly RecordRow[], zone: string): PieceState {
  const state = structuredClone(base)
  for (const row of rows.filter(counts).sort(inOrder)) {
    if (follows(state, row)) step(state, row, zone)
  }
  return state
}

/** Write a piece down and settle who holds each code that it has, or has had until now. */
export async function putPiece(tx: Write, piece: PieceRow): Promise<void> {
  const pieces = tx.objectStore('pieces')
  const old = (await pieces.get(piece.id))?.state.codes ?? []
  const codes = piece.state.codes
  if (JSON.stringify(old) === JSON.stringify(codes) && codes.every((c) => piece.codes.includes(c.code))) {
    await pieces.put(piece)
    return
  }
  const names = codes.map((claim) => claim.code)
  await pieces.put({ ...piece, codes: names, held: piece.held.filter((held) => names.includes(held)) })
  for (const code of new Set([...old, ...codes].map((claim) => claim.code))) await settle(tx, code)
}

/** Of all pieces that were given a code, the one with the lowest (at, record) holds it. */
async function settle(tx: Write, code: string): Promise<void> {
  const pieces = tx.objectStore('pieces')
  const rows = await pieces.index('codes').getAll(code)
  const claims = rows.map((row) => ({ row, claim: row.state.codes.find((c) => c.code === code) }))
  claims.sort((a, b) => {
    const [first, second] = [a.claim, b.claim]
    if (!first || !second) return 0
    return earlier(first, second)
  })
  for (const [place, { row }] of claims.entries()) {
    const without = row.held.filter((held) => held !== code)
    await pieces.put({ ...row, held: place === 0 ? [...without, code] : without })
  }
}
