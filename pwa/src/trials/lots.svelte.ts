import { saw, type OpenCut } from '../cuts/saw.svelte.ts'
import type { Id, Key } from '../records/fields.ts'
import { lotFor, type Lot } from './asking.ts'
import { phone } from '../sync/phone.svelte.ts'
import { mouthsFor, type Trial } from './trial.ts'

/** What a base that is glued now is recorded with; or that nobody has looked yet what it gets. */
export type ForBase = { readonly arm?: Key; readonly base: Key } | 'unseen'

/** One person's: whoever takes a shared phone next has no piece in hand yet. */
interface Seen {
  readonly by: string | null
}

/**
 * What was drawn, shown only once the piece is in hand: whoever sees the arm first would choose the
 * piece for it. What was shown stands for that piece, whatever arrives from another phone meanwhile.
 */
export class Lots {
  /** For the piece in hand; `base` is what it is glued to, where that is drawn. */
  #shown = $state.raw<Seen & { readonly cut: Id; readonly arm: Key; readonly base: Key | null } | null>(null)
  /** The mother whose parts are marked, so that hers may be shown. */
  #marked = $state.raw<Seen & { readonly trial: Key; readonly mother: Id } | null>(null)
  readonly #who: () => string | null

  constructor(who: () => string | null = () => phone.me?.staff.id ?? null) {
    this.#who = who
  }

  #mine<T extends Seen>(seen: T | null): T | null {
    return seen?.by === this.#who() ? seen : null
  }

  #of(cut: Id) {
    const seen = this.#mine(this.#shown)
    return seen?.cut === cut ? seen : null
  }

  /** The arm in sight for the next piece of this cut. */
  shownFor(cut: Id): Key | null {
    return this.#of(cut)?.arm ?? null
  }

  /** The base kind that the next piece of a cut is glued to: taken instead of what was drawn, drawn, or the cut's own. */
  baseFor({ id, base }: Pick<OpenCut, 'id' | 'base'>): Key {
    return this.#of(id)?.base ?? base
  }

  show(cut: Id, { trial, arm }: Lot): void {
    this.#shown = { by: this.#who(), cut, arm, base: trial.varies === 'base' ? arm : null }
    const mouths = trial.varies === 'mouths' ? mouthsFor(arm) : null
    if (mouths !== null) saw.setNext({ mouths })
  }

  glueTo(base: Key): void {
    if (this.#shown) this.#shown = { ...this.#shown, base }
  }

  isMarked(trial: Pick<Trial, 'id'>, mother: Id): boolean {
    const seen = this.#mine(this.#marked)
    return seen?.trial === trial.id && seen.mother === mother
  }

  /** Her parts are marked: what the next one gets is shown, and set. */
  mark(mother: Id, { trial, arm }: Lot): void {
    this.#marked = { by: this.#who(), trial: trial.id, mother }
    saw.set({ method: arm })
  }

  /** A cut was begun: the next part is marked, or looked at, anew. */
  begun(): void {
    this.#marked = null
  }

  async forBase(cut: OpenCut): Promise<ForBase> {
    const { base } = cut
    const lot = await lotFor(cut.id)
    if (!lot) return { base }
    if (lot.part) return { base, arm: lot.arm }
    const arm = this.shownFor(cut.id)
    return arm === null ? 'unseen' : { base: this.baseFor(cut), arm }
  }

  /** The piece is saved; the next one is drawn for itself. */
  taken(): void {
    this.#shown = null
  }
}

export const lots = new Lots()
