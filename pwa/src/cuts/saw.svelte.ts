import type { Disinfectant, Encrustation, Id, Key, MouthsKept, Purpose } from '../records/fields.ts'
import { keep, kept } from '../kit/kept.ts'

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
}

const EMPTY: Draft = {
  sitting: null,
  cut: null,
  next: { size: '', start: null, mouths: null, purpose: null, tray: null, place: '' },
  mother: null,
  method: null,
  base: null,
}

const KEY = 'nubbin.saw'

/** Where the work at the saw stands; survives a reload, since bases dry while somebody waits. */
export class Saw {
  draft = $state.raw<Draft>({ ...EMPTY, ...kept<Partial<Draft>>(KEY) })

  set(changes: Partial<Draft>): void {
    this.draft = { ...this.draft, ...changes }
    keep(KEY, this.draft)
  }

  setNext(changes: Partial<NextBase>): void {
    this.set({ next: { ...this.draft.next, ...changes } })
  }

  /** Done with this mother; the sitting and the answers stay for the next one. */
  endCut(): void {
    this.set({ cut: null, mother: null })
  }

  endSitting(): void {
    this.set({ ...EMPTY, method: this.draft.method, base: this.draft.base })
  }
}

export const saw = new Saw()
