/** The pieces behind a number of the report. */
import { ask, type Fetch } from '../access/server.ts'
import { t } from '../words/index.ts'
import type { Source } from './kept-reports.ts'
import { queryOf, type Asked } from './question.ts'

export const OF = [
  'pieces', 'ready', 'lost', 'healing', 'withdrawn', 'never-checked', 'missing', 'lost-after-ready', 'excluded',
] as const
export type Of = (typeof OF)[number]

export const FATES = ['ready', 'lost', 'healing', 'withdrawn', 'never-checked'] as const
export type Fate = (typeof FATES)[number]

export interface PieceBehind {
  readonly id: string
  readonly code: string | null
  readonly cut: string | null
  readonly cut_day: string | null
  readonly tray: string | null
  readonly place: string | null
  /** Days since the cut: what happened did so after `left`, by `right`; else the last looks. */
  readonly left: number | null
  readonly right: number | null
  /** Why it is left out. */
  readonly why: string | null
  /** What became of it; null or not said where it is left out. */
  readonly fate?: Fate | null
}

export interface Behind {
  readonly name: string
  readonly of: Of
  readonly total: number
  readonly pieces: readonly PieceBehind[]
  /** Begins the next page. */
  readonly after: string | null
}

export interface AskedPieces extends Asked {
  /** A group's key, or 'all'. */
  readonly group: string
  readonly of: Of
}

export function readOf(text: string | null): Of {
  return OF.find((one) => one === text) ?? 'pieces'
}

function isBehind(value: unknown): value is Behind {
  const found = value as Partial<Behind> | null
  return (
    Array.isArray(found?.pieces) && found.pieces.every((one: Partial<PieceBehind> | null) => typeof one?.id === 'string') &&
    typeof found.total === 'number' && typeof found.name === 'string' && found.after !== undefined
  )
}

function pathOf(asked: AskedPieces, after: string | null): string {
  const query = new URLSearchParams(queryOf(asked))
  query.set('group', asked.group)
  query.set('of', asked.of)
  if (after !== null) query.set('after', after)
  return `/api/healing/pieces?${query.toString()}`
}

/** The first page, which is kept. */
export function piecesOf(asked: AskedPieces): Source<Behind> {
  const path = pathOf(asked, null)
  return { name: `nubbin.healing.pieces${path.slice(path.indexOf('?'))}`, path, ours: isBehind, passing: true }
}

/** A further page; they are not kept. Throws ServerError. */
export function nextPieces(fetcher: Fetch, asked: AskedPieces, after: string): Promise<Behind> {
  return ask(fetcher, pathOf(asked, after), isBehind)
}

const READY: readonly Of[] = ['ready', 'lost-after-ready']
const LOST: readonly Of[] = ['lost', 'missing']

/** What all pieces of a list share; null for a list of all kinds. */
function fateOf(of: Of): Fate | null {
  if (READY.includes(of)) return 'ready'
  return LOST.includes(of) ? 'lost' : (FATES.find((one) => one === of) ?? null)
}

/** What was seen of it, in words; in a list of all kinds, with what became of it. */
export function seenOf(of: Of, piece: PieceBehind): string {
  if (piece.why !== null) return piece.why
  if (piece.left === null || piece.right === null) return t('healing.pieces.never')
  const fate = FATES.find((one) => one === piece.fate) ?? fateOf(of)
  const how = fate === 'ready' || fate === 'lost' ? fate : fate === null ? 'looks' : 'alive'
  const seen = daysOf(how, piece.left, piece.right)
  return how === 'alive' && fate !== null && of === 'pieces' ? t('healing.pieces.fated', { fate: t(`healing.pieces.fate.${fate}`), seen }) : seen
}

function daysOf(how: 'ready' | 'lost' | 'looks' | 'alive', left: number, right: number): string {
  if (how === 'alive' || how === 'looks') {
    return left === right ? t(`healing.pieces.${how}On`, { day: right }) : t(`healing.pieces.${how}`, { left, right })
  }
  // After the end of day `left`: the next day is the first possible one.
  const first = left + 1
  return first >= right ? t(`healing.pieces.${how}On`, { day: right }) : t(`healing.pieces.${how}`, { left: first, right })
}
