/**
 * The fold: a piece's state as a pure function of its records.
 *
 *   fold(id, entries, retracted, zone) = reduce(step, sorted(entries not retracted), start(id))
 *
 * Entries are sorted by (corrected time, record id), so the order of arrival cannot matter; the
 * same fold stands in Python and both run the cases of `fixtures/fold/`. `step` changes the state
 * it is given, so a newer record can be added to a stored state without the older being read again.
 * No readiness rule enters here: readiness is what a person recorded.
 */
import { inOrder, isKnown, type Entry, type Kind, type RecordOf } from '../records/kinds.ts'
import { localDay } from './days.ts'
import { start, withClaim, type FlagKind, type PieceState, type Stage } from './state.ts'

/** Fold a piece's entries (its own records, and the cuts it was the mother of). */
export function fold(
  piece: string,
  entries: Iterable<Entry>,
  retracted: ReadonlySet<string>,
  zone: string,
): PieceState {
  const state = start(piece)
  const kept = [...entries].filter((entry) => !retracted.has(entry.record.id))
  for (const entry of kept.sort(inOrder)) step(state, entry, zone)
  return state
}

/** Whether `entry` sorts after everything in `state`, so that `step` alone is enough. */
export function follows(state: PieceState, entry: Entry): boolean {
  if (entry.at !== state.last_at) return entry.at > state.last_at
  return entry.record.id > state.last_id
}

/** Add the next entry to the state, in place. A kind this app does not know changes nothing. */
export function step(state: PieceState, entry: Entry, zone: string): void {
  const { at, record } = entry
  if (!isKnown(record)) return
  state.last_at = at
  state.last_id = record.id
  const handler = HANDLERS[record.kind] as Handler<Kind> | undefined
  if (!handler) return
  if (LOOKS.has(record.kind) && ignored(state, record.id)) return
  handler(state, record as RecordOf<Kind>, at, localDay(at, zone))
  state.stage = stageOf(state)
}

function stageOf(state: PieceState): Stage {
  if (state.exit) return 'exited'
  if (state.loss) return 'lost'
  if (state.ready_sale || state.ready_cut) return 'ready'
  if (!state.begun) return 'unknown'
  return state.begun.kind === 'arrival' ? 'colony' : 'healing'
}

function flag(state: PieceState, what: FlagKind, record: string, against: string | null): void {
  state.flags.push({ what, record, against })
}

/** A look before gluing or after leaving is kept and flagged, and counts for nothing. */
function ignored(state: PieceState, record: string): boolean {
  if (state.exit) {
    flag(state, 'after-exit', record, state.exit.record)
    return true
  }
  if (!state.begun) {
    flag(state, 'before-glue', record, null)
    return true
  }
  return false
}

function begin(state: PieceState, kind: 'arrival' | 'glue', record: string, at: number, day: string): boolean {
  if (state.begun) {
    flag(state, 'begun-twice', record, state.begun.record)
    return false
  }
  state.begun = { kind, record, at, day }
  return true
}

function claim(state: PieceState, code: string | null | undefined, at: number, record: string): void {
  if (code != null) state.codes = withClaim(state.codes, { code, at, record })
}

/** Seen alive: a loss recorded earlier is withdrawn, and both records are flagged. */
function see(state: PieceState, record: string, day: string, what: FlagKind): void {
  if (state.loss) {
    flag(state, what, record, state.loss.record)
    state.loss = null
  }
  if (day !== state.alive) {
    state.alive_before = state.alive
    state.alive = day
  }
}

function look(state: PieceState, day: string): void {
  if (day !== state.looked) {
    state.looked_before = state.looked
    state.looked = day
  }
}

/** The last day but this one, out of a pair of days. */
function dayBefore(day: string, last: string | null, before: string | null): string | null {
  return last !== day ? last : before
}

type Handler<K extends Kind> = (state: PieceState, record: RecordOf<K>, at: number, day: string) => void

const HANDLERS: { readonly [K in Kind]?: Handler<K> } = {
  arrival(state, { id, body }, at, day) {
    if (!begin(state, 'arrival', id, at, day)) return
    state.line = body.line
    state.species = body.species
    state.origin = body.origin
    state.cut_number = body.cut_number ?? null
    state.quarantine_days = body.quarantine_days ?? null
    state.size_mm = body.size_mm ?? null
    claim(state, body.code, at, id)
  },
  glue(state, { id, body }, at, day) {
    if (!begin(state, 'glue', id, at, day)) return
    state.cut = body.cut
    state.base = body.base
    state.purpose = state.glued_for = body.purpose
    state.mouths_kept = body.mouths_kept ?? null
    state.size_mm = body.size_mm ?? null
    state.arm = body.arm ?? null
    state.start = state.encrustation = body.encrustation ?? null
    claim(state, body.code, at, id)
    if (body.tray != null && state.moved_by === null) {
      state.tray = body.tray
      state.place = body.place ?? null
    }
  },
  bind(state, { id, body }, at) {
    claim(state, body.code, at, id)
  },
  check(state, { id, body }, _at, day) {
    see(state, id, day, 'seen-after-loss')
    if (body.swept) {
      state.swept += 1
      return
    }
    state.checks += 1
    look(state, day)
    state.expansion = body.expansion ?? state.expansion
    state.mouth = body.mouth ?? state.mouth
    state.encrustation = body.encrustation ?? state.encrustation
    state.recession = body.recession ?? state.recession
    state.signs = [...(body.signs ?? [])]
  },
  ready(state, { id, body }, _at, day) {
    const name = body.for === 'sale' ? 'ready_sale' : 'ready_cut'
    see(state, id, day, 'ready-after-loss')
    const after = dayBefore(day, state.looked, state.looked_before)
    state[name] ??= { record: id, after, by: day }
    look(state, day)
  },
  loss(state, { id, body }, _at, day) {
    const said = { how: body.how, sign: body.sign ?? null, cause: body.cause ?? null }
    if (!state.loss) {
      const after = dayBefore(day, state.alive, state.alive_before)
      state.loss = { record: id, after, by: day, ...said }
    } else if (state.loss.how === 'missing' && body.how === 'dead') {
      // Found dead later: it was lost between the last time it was seen and the day it was missed.
      state.loss = { record: id, after: state.loss.after, by: state.loss.by, ...said }
    }
  },
  exit(state, { id, body }, _at, day) {
    state.exit = { record: id, day, how: body.how, to: body.to ?? null }
  },
  move(state, { id, body }, at) {
    if (state.moved_by !== null && at === state.moved_at) flag(state, 'moves-at-once', id, state.moved_by)
    state.tray = body.tray ?? null
    state.place = body.place ?? null
    state.tank = body.tank ?? null
    state.moved_at = at
    state.moved_by = id
  },
  purpose(state, { body }) {
    state.purpose = body.purpose
  },
  cut(state, { id }, _at, day) {
    // A saw leaves pieces behind whatever else was recorded: the cut counts, and a person is asked.
    if (!state.begun) flag(state, 'cut-before-begun', id, null)
    else if (state.exit) flag(state, 'cut-after-exit', id, state.exit.record)
    else if (state.loss) flag(state, 'cut-after-loss', id, state.loss.record)
    state.cuts += 1
    state.last_cut = day
    state.withdrawn ??= { record: id, day, looked: state.looked, alive: state.alive }
  },
  cut_end(state, { id, body }, _at, day) {
    if (body.remains === 'used-up' && !state.exit) {
      state.exit = { record: id, day, how: 'cut-up', to: null }
    } else if (body.remains === 'new-base' && body.base != null) {
      state.base = body.base
    }
  },
}

/** Kinds that say something of a living piece: they mean nothing before gluing or after leaving. */
const LOOKS: ReadonlySet<Kind> = new Set(['check', 'ready', 'loss', 'exit'])
