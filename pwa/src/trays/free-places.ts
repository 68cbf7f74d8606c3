/**
 * Free places of trays now and later. Each place that is taken is a Bernoulli trial of its own: the
 * chance that all that stands there has left by then. What is ready for sale counts as gone by then;
 * colonies and what is held back are taken to stay, but for losses while they heal. Pure.
 */
import { daysBetween } from '../stock/days.ts'
import type { PieceView } from '../sync/views.ts'
import { counted, mean, quantile, shifted, together, type Counts } from './counts.ts'
import { isLost, leaves, type Chance, type Curves } from './curves.ts'
import type { TrayMap } from './tray-map.ts'

/** The local day of a cut and its method. */
export interface CutFacts {
  readonly day: string
  readonly method: string
}

/** What the chances are worked out from. */
export interface Known {
  /** Null without a report. */
  readonly curves: Curves | null
  readonly cuts: ReadonlyMap<string, CutFacts>
  readonly today: string
}

/** A tray whose columns and rows are noted. */
export interface Filled {
  readonly places: number
  readonly map: TrayMap
}

export interface Now {
  readonly free: number
  /** Places that are free once what is ready for sale has left. */
  readonly leavable: number
}

export interface Later {
  readonly weeks: number
  /** Places whose freeing is a matter of chance, and those of them whose chance is not known. */
  readonly open: number
  readonly unknown: number
  /** 80 % range of the free places; places whose chance is not known are taken to stay as they are. */
  readonly low: number
  readonly high: number
  /** The expected number, by the lowest and the highest course of the curves. */
  readonly expected: Chance
}

const TAIL = 0.1
const NEVER: Chance = { low: 0, high: 0 }
const CERTAIN: Chance = { low: 1, high: 1 }

/** Everything that stands in a tray, by place; what stands at no place of the map takes one each. */
function taken({ map }: Filled): (readonly PieceView[])[] {
  const placed = map.rows.flatMap((row) => row.cells.flatMap((cell) => (cell.pieces.length > 0 ? [cell.pieces] : [])))
  return [...placed, ...map.elsewhere.map((piece) => [piece])]
}

function canLeave({ state }: PieceView): boolean {
  return state.stage === 'ready' && state.ready_sale !== null && state.purpose !== 'hold'
}

export function now(trays: readonly Filled[]): Now {
  let [free, later] = [0, 0]
  for (const tray of trays) {
    const spots = taken(tray)
    const leaving = spots.filter((pieces) => pieces.every(canLeave)).length
    free += Math.max(0, tray.places - spots.length)
    later += Math.max(0, tray.places - spots.length + leaving)
  }
  return { free, leavable: later - free }
}

export function later(trays: readonly Filled[], known: Known, weeks: number): Later {
  let [open, unknown] = [0, 0]
  let [low, high]: [Counts, Counts] = [counted([]), counted([])]
  for (const tray of trays) {
    const spots = taken(tray)
    const chances = spots.map((pieces) => spot(pieces, known, 7 * weeks))
    open += chances.filter((one) => one !== NEVER && one !== CERTAIN).length
    unknown += chances.filter((one) => one === null).length
    const free = (of: keyof Chance) => shifted(counted(chances.map((one) => one?.[of] ?? 0)), tray.places - spots.length)
    low = together(low, free('low'))
    high = together(high, free('high'))
  }
  return { weeks, open, unknown, low: quantile(low, TAIL), high: quantile(high, 1 - TAIL), expected: { low: mean(low), high: mean(high) } }
}

/** The chance that a place is free by then; null where it is not known. */
function spot(pieces: readonly PieceView[], known: Known, days: number): Chance | null {
  const chances = pieces.map((piece) => chanceOf(piece, known, days))
  if (chances.includes(NEVER)) return NEVER
  if (chances.every((one) => one === CERTAIN)) return CERTAIN
  return chances.reduce((all, one) => all && one && { low: all.low * one.low, high: all.high * one.high }, CERTAIN)
}

function chanceOf(piece: PieceView, { curves, cuts, today }: Known, days: number): Chance | null {
  const { state } = piece
  if (canLeave(piece)) return CERTAIN
  // A piece that was itself cut heals from another wound and is kept as a mother.
  if (state.stage !== 'healing' || state.cuts > 0) return NEVER
  const cut = state.cut === null ? undefined : cuts.get(state.cut)
  const curve = cut && curves && (curves.byMethod.get(cut.method) ?? curves.pooled)
  if (!cut || !curve) return null
  const age = (day: string | null) => (day === null ? 0 : Math.max(0, daysBetween(cut.day, day)))
  const looked = age(state.looked)
  const seen = { looked, alive: Math.max(looked, age(state.alive)) }
  const until = Math.max(seen.alive, age(today) + days)
  return state.purpose === 'hold' ? isLost(curve, seen, until) : leaves(curve, seen, until)
}
