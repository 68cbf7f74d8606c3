import type { Disinfectant, Encrustation, Id, Key, MouthsKept, Purpose } from '../records/fields.ts'
import { keepFor, kept, mayHave } from '../kit/kept.ts'
import { phone, type CutView, type PieceView } from '../sync/phone.svelte.ts'
import { baseFor } from './cut-rows.ts'

/** One stretch at the saw: what its cuts share. */
export interface Sitting {
  readonly id: Id
  readonly at: number
  readonly operator: string
  readonly blade: Key | null
  readonly blade_state: 'new' | 'good' | 'worn' | null
  readonly reservoir_l: string | null
  readonly disinfectant: Disinfectant | null
}

/** The cut that is being glued now; its record is saved already, as is each base's. */
export interface OpenCut {
  readonly id: Id
  readonly record: Id
  readonly mother: Id
  readonly method: Key
  readonly base: Key
}

/** What the next base gets; the last answers stay until they are changed. */
export interface NextBase {
  readonly size: string
  readonly start: Encrustation | null
  readonly mouths: MouthsKept | null
  readonly purpose: Purpose | null
  readonly tray: Key | null
  readonly place: string
}

interface Draft {
  readonly sitting: Sitting | null
  readonly cut: OpenCut | null
  readonly next: NextBase
  /** Chosen for the cut to come, before it is recorded. */
  readonly mother: Id | null
  readonly method: Key | null
  readonly base: Key | null
  /** What each cut's next piece was to be glued to when it was left, the newest last. */
  readonly bases: readonly (readonly [Id, Key])[]
  /** The comparison that cuts are made for. */
  readonly trial: Key | null
}

const EMPTY: Draft = {
  sitting: null,
  cut: null,
  next: { size: '', start: null, mouths: null, purpose: null, tray: null, place: '' },
  mother: null,
  method: null,
  base: null,
  bases: [],
  trial: null,
}

const KEY = 'nubbin.saw'
/** More cuts than are ever left unglued at once. */
const LEFT = 40

interface Held {
  /** Whose work it is; null where nobody was known to hold the phone. */
  readonly staff: string | null
  readonly form: Draft
}

/**
 * Where the work at the saw stands; survives a reload, since bases dry while somebody waits. It is
 * one person's: whoever takes a shared phone next begins a sitting of their own, and finds what was
 * left open among the recent cuts.
 */
export class Saw {
  #held = $state.raw<Held>(read())
  readonly #who: () => string | null

  constructor(who: () => string | null = () => phone.me?.staff.id ?? null) {
    this.#who = who
  }

  get draft(): Draft {
    const { staff, form } = this.#held
    const who = this.#who()
    // Until it is known who is here nothing is taken off the screen.
    return who === null || mayHave(staff, who) ? form : EMPTY
  }

  set(changes: Partial<Draft>): void {
    const staff = this.#who() ?? this.#held.staff
    const { cut } = changes
    const bases = cut ? [...this.draft.bases.filter(([id]) => id !== cut.id), [cut.id, cut.base] as const].slice(-LEFT) : this.draft.bases
    this.#held = { staff, form: { ...this.draft, bases, ...changes } }
    keepFor(staff, KEY, this.#held.form)
  }

  setNext(changes: Partial<NextBase>): void {
    this.set({ next: { ...this.draft.next, ...changes } })
  }

  /** Go on with a cut that is not finished, within the sitting it was made in. */
  goOn({ id, record, at, body }: CutView, glued: readonly PieceView[]): void {
    const chosen = this.draft.bases.find(([cut]) => cut === id)?.[1] ?? this.draft.base
    const base = baseFor(glued.at(-1)?.state.base ?? null, chosen, phone.items('base').map((item) => item.id))
    const { blade, blade_state, operator, reservoir_l, disinfectant, sitting, mother, method } = body
    this.set({
      sitting: this.draft.sitting?.id === sitting ? this.draft.sitting : {
        id: sitting, at, operator: operator ?? '', blade: blade ?? null, blade_state: blade_state ?? null,
        reservoir_l: reservoir_l ?? null, disinfectant: disinfectant ?? null,
      },
      cut: { id, record, mother, method, base },
    })
  }

  /** Away from this mother, done with her or to glue her pieces later; sitting and answers stay. */
  endCut(): void {
    this.set({ cut: null, mother: null })
  }

  endSitting(): void {
    this.set({ ...EMPTY, method: this.draft.method, base: this.draft.base, bases: this.draft.bases, trial: this.draft.trial })
  }
}

function read(): Held {
  const found = kept<Partial<Held> | null>(KEY)
  return found?.staff === undefined ? { staff: null, form: EMPTY } : { staff: found.staff, form: { ...EMPTY, ...found.form } }
}

export const saw = new Saw()
