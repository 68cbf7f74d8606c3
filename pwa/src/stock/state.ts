/**
 * What the fold knows of one piece. Plain data, the same names and shapes in both languages:
 * what is not known is null, never absent, so that the JSON is equal as well.
 * Days are local dates of the facility ('2026-03-01'); `at` is corrected UTC in milliseconds.
 */
import type {
  Encrustation,
  Expansion,
  LossSign,
  Mouth,
  MouthsKept,
  Purpose,
  Recession,
  Sign,
} from '../records/fields.ts'

export type Stage = 'unknown' | 'colony' | 'healing' | 'ready' | 'lost' | 'exited'
export type FlagKind =
  | 'before-glue' // seen or decided before the piece was glued: kept, counts for nothing
  | 'begun-twice' // two records bring the same piece into being: the first stands
  | 'seen-after-loss' // recorded lost, later seen alive: alive
  | 'ready-after-loss' // recorded lost, later ready: ready
  | 'moves-at-once' // two moves at one time: the higher id stands
  | 'after-exit' // seen or lost after it had left: ignored
  | 'cut-before-begun' // cut before it had arrived or was glued: kept, counts
  | 'cut-after-loss' // cut while recorded lost: kept, counts; the loss stands
  | 'cut-after-exit' // cut after it had left: kept, counts

/** Two records that disagree. Both are kept; a person decides. */
export interface Flag {
  readonly what: FlagKind
  readonly record: string
  readonly against: string | null
}

/** A code given to this piece. If two pieces claim one, the lower (at, record) holds it. */
export interface Claim {
  readonly code: string
  readonly at: number
  readonly record: string
}

/** The record that brought the piece into being: gluing, or arrival of a colony. */
export interface Begun {
  readonly kind: 'arrival' | 'glue'
  readonly record: string
  readonly at: number
  readonly day: string
}

/** Something that happened in (after, by]: `after` null means since the cut. */
export interface Event {
  readonly record: string
  readonly after: string | null
  readonly by: string
}

/** A loss in (after, by]; `after` is the last day before it that the piece was seen alive. */
export interface LossEvent extends Event {
  readonly how: 'dead' | 'missing'
  readonly sign: LossSign | null
  readonly cause: string | null
}

/** How a piece left: dispatched, culled, given, or cut up whole as a mother. */
export interface ExitEvent {
  readonly record: string
  readonly day: string
  readonly how: 'dispatched' | 'culled' | 'given' | 'cut-up'
  readonly to: string | null
}

/** First time the piece was itself cut: what healing it showed ends with these looks. */
export interface Withdrawn {
  readonly record: string
  readonly day: string
  readonly looked: string | null
  readonly alive: string | null
}

/** `last_at`, `last_id` are the key of the newest record folded; days come in pairs (last, before). */
export interface PieceState {
  id: string
  last_at: number
  last_id: string
  stage: Stage
  begun: Begun | null
  codes: Claim[]
  line: string | null
  species: string | null
  origin: 'wild' | 'farmed' | 'unknown' | null
  cut_number: number | null
  quarantine_days: number | null
  cut: string | null
  base: string | null
  purpose: Purpose | null
  /** Purpose at gluing, which decides the cut number whatever came later. */
  glued_for: Purpose | null
  mouths_kept: MouthsKept | null
  size_mm: number | null
  start: Encrustation | null
  arm: string | null
  tray: string | null
  place: string | null
  tank: string | null
  moved_at: number
  moved_by: string | null
  expansion: Expansion | null
  mouth: Mouth | null
  encrustation: Encrustation | null
  recession: Recession | null
  signs: Sign[]
  checks: number
  swept: number
  looked: string | null
  looked_before: string | null
  alive: string | null
  alive_before: string | null
  ready_sale: Event | null
  ready_cut: Event | null
  loss: LossEvent | null
  exit: ExitEvent | null
  cuts: number
  last_cut: string | null
  withdrawn: Withdrawn | null
  flags: Flag[]
}

/** A piece of which nothing is known yet; field for field in the order of the server's own. */
export function start(id: string): PieceState {
  return {
    id,
    last_at: -1,
    last_id: '',
    stage: 'unknown',
    begun: null,
    codes: [],
    line: null,
    species: null,
    origin: null,
    cut_number: null,
    quarantine_days: null,
    cut: null,
    base: null,
    purpose: null,
    glued_for: null,
    mouths_kept: null,
    size_mm: null,
    start: null,
    arm: null,
    tray: null,
    place: null,
    tank: null,
    moved_at: -1,
    moved_by: null,
    expansion: null,
    mouth: null,
    encrustation: null,
    recession: null,
    signs: [],
    checks: 0,
    swept: 0,
    looked: null,
    looked_before: null,
    alive: null,
    alive_before: null,
    ready_sale: null,
    ready_cut: null,
    loss: null,
    exit: null,
    cuts: 0,
    last_cut: null,
    withdrawn: null,
    flags: [],
  }
}

/** Whether nothing more is expected of the piece, so that the phone may do without its records. */
export function isClosed(state: PieceState): boolean {
  return state.stage === 'lost' || state.stage === 'exited'
}

/** Claims with one more; given once more, the first time stands. */
export function withClaim(claims: readonly Claim[], claim: Claim): Claim[] {
  return claims.some((held) => held.code === claim.code) ? [...claims] : [...claims, claim]
}

/** Which of two claims to one code holds it: the lower (at, record). */
export function earlier(a: Claim, b: Claim): number {
  return a.at - b.at || (a.record < b.record ? -1 : 1)
}
