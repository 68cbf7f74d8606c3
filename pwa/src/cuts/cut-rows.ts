/** Cuts in a list, each with its mother and what was glued from it. */
import type { Id, Key } from '../records/fields.ts'
import { byBeginning, cutView, newestFirst, views } from '../sync/queries.ts'
import type { Read } from '../sync/schema.ts'
import type { CutView, PieceView } from '../sync/views.ts'

export interface CutInList {
  readonly cut: CutView
  readonly mother: PieceView | null
  /** In the order of gluing. */
  readonly glued: readonly PieceView[]
}

/** Of one mother, or those of one sitting whose pieces may not all be glued; else any. */
export interface Asked {
  readonly mother?: Id
  readonly openIn?: Id
}

/**
 * The newest of them, and how many there are in all, finished ones included. In one go: asked for one
 * after another, a farm of many cuts would wait for it with each base that is glued.
 */
export async function rowsIn(tx: Read, { mother, openIn }: Asked, most: number): Promise<{ rows: CutInList[]; all: number }> {
  const cuts = tx.objectStore('cuts')
  const found = mother === undefined ? await cuts.getAll() : await cuts.index('mother').getAll(mother)
  const wanted = newestFirst(found).filter((row) => openIn === undefined || row.body.sitting === openIn)
  const shown: CutView[] = []
  for (const row of wanted) {
    if (shown.length === most) break
    const cut = await cutView(tx, row)
    if (openIn === undefined || cut.ended === null) shown.push(cut)
  }
  return { rows: await withPieces(tx, shown), all: wanted.length }
}

async function withPieces(tx: Read, cuts: readonly CutView[]): Promise<CutInList[]> {
  const pieces = tx.objectStore('pieces')
  const ids = new Set(cuts.map(({ body }) => body.mother))
  const mothers = (await Promise.all([...ids].map((id) => pieces.get(id)))).flatMap((row) => row ?? [])
  const glued = await Promise.all(cuts.map(async ({ id }) => (await pieces.index('cut').getAll(id)).sort(byBeginning)))
  const seen = new Map((await views(tx, [...mothers, ...glued.flat()])).map((piece) => [piece.id, piece]))
  return cuts.map((cut, at) => ({
    cut,
    mother: seen.get(cut.body.mother) ?? null,
    glued: (glued[at] ?? []).flatMap(({ id }) => seen.get(id) ?? []),
  }))
}

/** What a cut's next piece is glued to: as its last one, else as was chosen last, else the first listed. */
export function baseFor(last: Key | null, chosen: Key | null, listed: readonly Key[]): Key {
  return last ?? (chosen !== null && listed.includes(chosen) ? chosen : (listed[0] ?? ''))
}
