/** Which pieces the stock lists, and under which headings. Pure. */
import type { PieceView } from '../sync/views.ts'
import { t } from '../words/index.ts'
import { fits, itemName, type Find } from './view.ts'

export const SHOWN = ['open', 'healing', 'ready', 'colony', 'look', 'closed'] as const
export type Shown = (typeof SHOWN)[number]
export const GROUPED = ['tray', 'stage', 'line'] as const
export type Grouped = (typeof GROUPED)[number]

export interface Group {
  readonly key: string
  readonly name: string
  readonly pieces: readonly PieceView[]
}

const STAGES = ['healing', 'ready', 'colony', 'unknown', 'lost', 'exited'] as const

function shows({ state }: PieceView, shown: Shown): boolean {
  const closed = state.stage === 'lost' || state.stage === 'exited'
  if (shown === 'closed') return closed
  if (shown === 'look') return state.flags.length > 0 || state.signs.includes('brown-jelly')
  return shown === 'open' ? !closed : state.stage === shown
}

/** The pieces asked for; a search looks through all that are shown. */
export function chosen(pieces: readonly PieceView[], shown: Shown, text: string, find: Find): PieceView[] {
  const asked = text.trim()
  return pieces.filter((piece) => shows(piece, shown) && (asked === '' || fits(piece, asked, find)))
}

/** 'B10' after 'B9': places and tray names hold numbers. */
const collator = new Intl.Collator(undefined, { numeric: true })

function heading(piece: PieceView, by: Grouped, find: Find): { key: string; name: string; first: string } {
  const { state, line } = piece
  if (by === 'stage') {
    return { key: state.stage, name: t(`stock.stage.${state.stage}`), first: String(STAGES.indexOf(state.stage)) }
  }
  const known = by === 'tray' ? state.tray : line
  const name = by === 'tray' ? known && itemName(known, find) : known
  // What is not noted comes last: it is the exception.
  if (!known || !name) return { key: '', name: t(by === 'tray' ? 'stock.noTray' : 'stock.noLine'), first: '1' }
  return { key: known, name, first: `0${name}` }
}

export function grouped(pieces: readonly PieceView[], by: Grouped, find: Find): Group[] {
  const groups = new Map<string, { name: string; first: string; pieces: PieceView[] }>()
  for (const piece of pieces) {
    const { key, name, first } = heading(piece, by, find)
    const group = groups.get(key) ?? { name, first, pieces: [] }
    group.pieces.push(piece)
    groups.set(key, group)
  }
  const inPlace = (a: PieceView, b: PieceView) =>
    Number(a.state.place === null) - Number(b.state.place === null) ||
    collator.compare(a.state.place ?? '', b.state.place ?? '') ||
    (a.id < b.id ? -1 : 1)
  return [...groups]
    .sort(([, a], [, b]) => collator.compare(a.first, b.first))
    .map(([key, group]) => ({ key, name: group.name, pieces: group.pieces.sort(inPlace) }))
}
