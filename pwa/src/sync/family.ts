/** The forebears of pieces, fetched from the phone's database once for a whole list of pieces. */
import { descent, type Kin, type Kinship } from '../stock/lineage.ts'
import { settingsOf, type Settings } from '../stock/lists.ts'
import type { PieceRow, Read } from './schema.ts'
import type { PieceView } from './views.ts'

export interface Family extends Kinship {
  readonly settings: Settings
  /** The tank in which a tray stands. */
  readonly tankOf: (tray: string) => string | null
}

/** Everything that `descent` needs to know of these pieces and all their forebears. */
export async function family(tx: Read, rows: readonly PieceRow[]): Promise<Family> {
  const items = new Map((await tx.objectStore('items').getAll()).map((item) => [item.id, item]))
  const settings = settingsOf(items.get('settings'))
  const kin = new Map<string, Kin>()
  const mothers = new Map<string, string>()
  const known = new Map(rows.map((row) => [row.id, row]))
  const queue = [...rows]
  for (let row = queue.pop(); row; row = queue.pop()) {
    if (kin.has(row.id)) continue
    kin.set(row.id, { state: row.state, glued: row.state.glued_for })
    const cut = row.state.cut
    if (cut === null || mothers.has(cut)) continue
    const mother = (await tx.objectStore('cuts').get(cut))?.mother
    if (mother === undefined) continue
    mothers.set(cut, mother)
    const next = known.get(mother) ?? (await tx.objectStore('pieces').get(mother))
    if (next) queue.push(next)
  }
  return {
    settings,
    kin: (piece) => kin.get(piece),
    mother: (cut) => mothers.get(cut),
    tankOf: (tray) => items.get(tray)?.tank ?? null,
  }
}

export function view(row: PieceRow, kin: Family): PieceView {
  const { id, state, held, codes } = row
  const newest = state.codes.findLast((claim) => held.includes(claim.code))
  return {
    id,
    state,
    code: newest?.code ?? null,
    lost_codes: codes.filter((code) => !held.includes(code)),
    ...descent(id, kin, kin.settings),
    tank: state.tray === null ? state.tank : kin.tankOf(state.tray),
  }
}
