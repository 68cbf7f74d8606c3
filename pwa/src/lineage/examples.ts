/** Families for tests, written as `piece: its cut` and `cut: its mother`. Only tests import this. */
import { start, type PieceState, type Stage } from '../stock/state.ts'
import type { PieceView } from '../sync/views.ts'
import { plant, type CutFact, type Families } from './tree.ts'

const DAY = 86_400_000
const FIRST = Date.parse('2026-01-01T00:00:00Z')

export interface Told {
  /** A letter: c colony, h healing, r ready, l lost, g gone, G gone after it was ready, u unknown. */
  readonly fate?: string
  readonly cut?: string
  readonly day?: number
  readonly code?: string
  readonly line?: string
  readonly number?: PieceView['number']
  readonly state?: Partial<PieceState>
}

const STAGES: Readonly<Record<string, Stage>> = {
  c: 'colony', h: 'healing', r: 'ready', l: 'lost', g: 'exited', G: 'exited', u: 'unknown',
}

export const dateOf = (day: number): string => new Date(FIRST + day * DAY).toISOString().slice(0, 10)

export function piece(id: string, told: Told = {}): PieceView {
  const { cut = null, fate = cut === null ? 'c' : 'h', day = 0, code = null } = told
  const begun = fate === 'u' ? null : { kind: cut === null ? ('arrival' as const) : ('glue' as const), record: id, at: day, day: dateOf(day) }
  const ready = 'rG'.includes(fate) ? { record: id, after: null, by: dateOf(day) } : null
  const codes = code === null ? [] : [{ code, at: day, record: id }]
  const state = { ...start(id), stage: STAGES[fate] ?? 'unknown', begun, cut, codes, ready_sale: ready, ...told.state }
  const number = told.number ?? { base: 0, plus: cut === null ? 0 : 1 }
  return { id, state, code, species: 'species.lobo', line: told.line ?? 'Amber', number, tank: null }
}

export function cut(id: string, mother: string, day: number | null = 0, gone = false): CutFact {
  return { id, mother, at: day ?? 0, day: day === null ? null : dateOf(day), method: 'method.band-saw', gone }
}

/**
 * The colony, cut on days 10 and 40 into three healing pieces and one that is lost; `a` is ready and
 * was cut on day 100 into two; of those `aa` has left, ready, and `ab` heals.
 */
export function small(): Families<PieceView> {
  const pieces = [
    piece('colony', { code: '4JQZKDMN' }),
    piece('a', { cut: 'one', day: 10, fate: 'r' }),
    piece('b', { cut: 'one', day: 10 }),
    piece('c', { cut: 'two', day: 40, fate: 'l' }),
    piece('d', { cut: 'two', day: 40 }),
    piece('aa', { cut: 'three', day: 100, fate: 'G' }),
    piece('ab', { cut: 'three', day: 100 }),
  ]
  return plant(pieces, [cut('three', 'a', 100), cut('two', 'colony', 40), cut('one', 'colony', 10)])
}
