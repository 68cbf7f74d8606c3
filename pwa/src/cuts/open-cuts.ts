/** Cuts whose pieces are not all glued yet, as the screens at the saw list them. */
import type { Id, Key } from '../records/fields.ts'
import { phone, type CutView, type PieceView } from '../sync/phone.svelte.ts'

export interface OpenRow {
  readonly cut: CutView
  readonly mother: PieceView | null
  readonly glued: readonly PieceView[]
}

/** The newest cuts with their mothers and what was glued from them, open ones of one sitting alone if asked. */
export async function cutRows(most: number, openIn?: Id): Promise<OpenRow[]> {
  const all = await phone.cuts()
  const wanted = openIn === undefined ? all : all.filter((cut) => cut.body.sitting === openIn && cut.ended === null)
  return Promise.all(
    wanted.slice(0, most).map(async (cut) => {
      const [mother, glued] = await Promise.all([phone.piece(cut.body.mother), phone.gluedFrom(cut.id)])
      return { cut, mother, glued }
    }),
  )
}

/** The base kind her last piece was glued to, else the first of the list. */
export function lastBase(glued: readonly PieceView[]): Key {
  return glued.at(-1)?.state.base ?? phone.items('base')[0]?.id ?? ''
}
