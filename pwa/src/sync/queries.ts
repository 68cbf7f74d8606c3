/** What the screens ask of the phone's own database. */
import { inOrder } from '../records/kinds.ts'
import { lifted } from '../records/lift.ts'
import type { Id, Key } from '../records/fields.ts'
import { forebears } from '../stock/lineage.ts'
import { isClosed, type Stage } from '../stock/state.ts'
import { disagreements, type Disagreement } from './disagreements.ts'
import { family, view, type Family } from './family.ts'
import { subjectKey } from './keep.ts'
import { getMeta } from './meta.ts'
import { asToday } from './refold.ts'
import type { CutRow, PieceRow, Read, RecordRow } from './schema.ts'
import type { CutView, PieceFilter, PieceRecord, PieceView, Robbed, WholePiece } from './views.ts'

export async function findPiece(tx: Read, id: Id): Promise<WholePiece | null> {
  const row = await tx.objectStore('pieces').get(id)
  if (!row) return null
  const kin = await family(tx, [row])
  const lineage = forebears(id, kin).map((step) => ({ ...step, state: kin.kin(step.id)?.state ?? null }))
  return { ...view(row, kin), lineage, records: await recordsOf(tx, id) }
}

async function recordsOf(tx: Read, piece: Id): Promise<PieceRecord[]> {
  const rows = await tx.objectStore('records').index('piece').getAll(piece)
  const dropped = new Set(await getMeta(tx, 'dropped'))
  const found: PieceRecord[] = []
  for (const row of rows.sort(inOrder)) found.push(await withFate(tx, row, dropped))
  return found
}

async function withFate(tx: Read, row: RecordRow, dropped: ReadonlySet<string>): Promise<PieceRecord> {
  const { at } = row
  const gone = row.gone || dropped.has(row.id)
  // What has its place in the server's log is not in the line: no need to look.
  const waiting = row.seq === null ? await tx.objectStore('outbox').index('record').get(row.id) : undefined
  return { at, record: lifted(row.record), sent: waiting?.state ?? (row.refused ? 'refused' : 'sent'), retracted: gone }
}

/** By record, the piece whose history it is in. */
export async function findAbout(tx: Read, records: readonly Id[]): Promise<ReadonlyMap<Id, PieceView>> {
  const pieces = new Map<Id, PieceRow>()
  const owners: [Id, Id][] = []
  for (const id of records) {
    const piece = await ownerOf(tx, id)
    const row = piece ? (pieces.get(piece) ?? (await tx.objectStore('pieces').get(piece))) : undefined
    if (!row) continue
    pieces.set(row.id, row)
    owners.push([id, row.id])
  }
  const seen = new Map((await views(tx, [...pieces.values()])).map((piece) => [piece.id, piece]))
  return new Map(owners.flatMap(([record, id]) => {
    const piece = seen.get(id)
    return piece ? [[record, piece] as const] : []
  }))
}

/** Those of these pieces that are known here, read in one go. */
export async function findThese(tx: Read, ids: readonly Id[]): Promise<ReadonlyMap<Id, PieceView>> {
  const rows = await Promise.all(ids.map((id) => tx.objectStore('pieces').get(id)))
  const known = await views(tx, rows.flatMap((row) => row ?? []))
  return new Map(known.map((piece) => [piece.id, piece]))
}

async function ownerOf(tx: Read, record: Id): Promise<Id | null> {
  const row = await tx.objectStore('records').get(record)
  const subject = row?.record.subject
  // What takes a record back is about the piece of that record.
  return subject?.kind === 'record' ? ownerOf(tx, subject.id) : (row?.piece ?? null)
}

export async function findByCode(tx: Read, code: string): Promise<PieceView | null> {
  const rows = await tx.objectStore('pieces').index('codes').getAll(code)
  const [found] = await views(tx, rows.filter((row) => row.held.includes(code)))
  return found ?? null
}

export async function findByPlace(tx: Read, tray: Key, place: string): Promise<PieceView[]> {
  const rows = await tx.objectStore('pieces').index('spot').getAll([tray, place])
  const closed = (row: PieceRow) => Number(isClosed(row.state))
  rows.sort((a, b) => closed(a) - closed(b) || b.state.moved_at - a.state.moved_at || began(b) - began(a))
  return views(tx, rows)
}

function began(row: PieceRow): number {
  return row.state.begun?.at ?? 0
}

/** The oldest first. */
export function byBeginning(a: PieceRow, b: PieceRow): number {
  return began(a) - began(b) || (a.id < b.id ? -1 : 1)
}

export async function findPieces(tx: Read, filter: PieceFilter): Promise<PieceView[]> {
  const { stages, tray, purpose, cut, tank, species, flagged } = filter
  const rows = (await candidates(tx, filter)).filter(
    ({ state, codes, held }) =>
      (stages === undefined || stages.includes(state.stage)) &&
      (tray === undefined || state.tray === tray) &&
      (cut === undefined || state.cut === cut) &&
      (purpose === undefined || state.purpose === purpose) &&
      (flagged === undefined || flagged === (state.flags.length > 0 || codes.length > held.length)),
  )
  rows.sort(byBeginning)
  const found = await views(tx, rows)
  return found.filter(
    (piece) =>
      (species === undefined || piece.species === species) && (tank === undefined || piece.tank === tank),
  )
}

/** The narrowest index that the filter allows. */
async function candidates(tx: Read, { tray, cut, stages }: PieceFilter): Promise<PieceRow[]> {
  const pieces = tx.objectStore('pieces')
  if (cut !== undefined) return pieces.index('cut').getAll(cut)
  if (tray !== undefined) return pieces.index('tray').getAll(tray)
  if (stages === undefined) return pieces.getAll()
  const found: PieceRow[] = []
  for (const stage of new Set<Stage>(stages)) found.push(...(await pieces.index('stage').getAll(stage)))
  return found
}

/** Those that stand. */
export function newestFirst(cuts: readonly CutRow[]): CutRow[] {
  return cuts.filter((row) => !row.gone).sort((a, b) => b.at - a.at || (a.id < b.id ? 1 : -1))
}

export async function findCut(tx: Read, id: Id): Promise<CutView | null> {
  const row = await tx.objectStore('cuts').get(id)
  return row && !row.gone ? cutView(tx, row) : null
}

export async function cutView(tx: Read, { id, at, record, body }: CutRow): Promise<CutView> {
  const rows = await tx.objectStore('records').index('subject').getAll(subjectKey('cut', id))
  const ends = rows.filter((row) => row.record.kind === 'cut_end' && !row.gone && !row.refused)
  const last = ends.map(asToday).sort(inOrder).at(-1)?.record
  return { id, at, record, body, ended: last?.kind === 'cut_end' ? (last.body as CutView['ended']) : null }
}

/** Every disagreement of a piece that is known here, and which of them a person has left as it is. */
export async function findDisagreements(tx: Read): Promise<{ all: Disagreement[]; settled: ReadonlySet<string> }> {
  const all: Disagreement[] = []
  for (const { id, state } of await findPieces(tx, { flagged: true })) {
    const piece = state.flags.length > 0 ? await findPiece(tx, id) : null
    if (piece) all.push(...disagreements(piece))
  }
  return { all, settled: new Set(await getMeta(tx, 'settled')) }
}

/** Pieces whose label another piece had first, and which piece that is. */
export async function findRobbed(tx: Read): Promise<Robbed[]> {
  const found: Robbed[] = []
  for (const piece of await findPieces(tx, { flagged: true })) {
    for (const code of piece.lost_codes ?? []) found.push({ piece, code, holder: await findByCode(tx, code) })
  }
  return found
}

export async function views(tx: Read, rows: readonly PieceRow[]): Promise<PieceView[]> {
  const kin: Family = await family(tx, rows)
  return rows.map((row) => view(row, kin))
}
