/** What the screens of trays and tanks ask of the phone's own records. */
import type { Id, Key } from '../records/fields.ts'
import { inOrder, isKnown } from '../records/kinds.ts'
import { localDay } from '../stock/days.ts'
import { isClosed } from '../stock/state.ts'
import { subjectKey } from '../sync/keep.ts'
import { phone, type PieceView } from '../sync/phone.svelte.ts'
import { asToday, counts } from '../sync/refold.ts'
import type { CutFacts } from './free-places.ts'

/** What may stand in a tray or tank. */
export const OPEN = ['unknown', 'colony', 'healing', 'ready'] as const

/** What is in the way at a place: the first piece standing there, but for the one that is being moved. */
export async function standsAt(tray: Key, place: string, moving: Id | null = null): Promise<PieceView | null> {
  const there = await phone.byPlace(tray, place)
  return there.find((one) => one.id !== moving && !isClosed(one.state)) ?? null
}

/** When a tray was put where it stands, corrected UTC in milliseconds; null where nobody moved it. */
export function standsSince(tray: string): Promise<number | null> {
  return phone.read(async (tx) => {
    const rows = await tx.objectStore('records').index('subject').getAll(subjectKey('tray', tray))
    const moves = rows.filter(counts).map(asToday)
    return moves.filter(({ record }) => record.kind === 'move' && isKnown(record)).sort(inOrder).at(-1)?.at ?? null
  })
}

/** The day and the method of the cuts that these pieces are from; of a cut taken back, nothing. */
export function cutsOf(pieces: readonly PieceView[]): Promise<ReadonlyMap<string, CutFacts>> {
  const zone = phone.zone
  return phone.read(async (tx) => {
    const found = new Map<string, CutFacts>()
    for (const id of new Set(pieces.flatMap(({ state }) => state.cut ?? []))) {
      const row = await tx.objectStore('cuts').get(id)
      if (row && !row.gone) found.set(id, { day: localDay(row.at, zone), method: row.body.method })
    }
    return found
  })
}
