import { saw } from '../cuts/saw.svelte.ts'
import type { Id, Key } from '../records/fields.ts'
import { lotFor, type Lot } from './asking.ts'
import { mouthsFor } from './trial.ts'

/** What a base that is glued now is recorded with; or that nobody has looked yet what it gets. */
export type ForBase = { readonly arm?: Key; readonly base?: Key } | 'unseen'

/**
 * What was drawn, shown only once the piece is in hand: whoever sees the arm first would choose the
 * piece for it. What was shown stands for that piece, whatever arrives from another phone meanwhile.
 */
export class Lots {
  /** For the piece in hand. */
  #shown = $state.raw<{ readonly cut: Id; readonly arm: Key } | null>(null)
  /** The base it is glued to, where it is not the one that was drawn. */
  #base = $state<Key | null>(null)
  /** The mother whose parts are marked, so that hers may be shown. */
  #marked = $state<Id | null>(null)

  /** The arm in sight for the next piece of this cut. */
  shownFor(cut: Id): Key | null {
    return this.#shown?.cut === cut ? this.#shown.arm : null
  }

  show(cut: Id, { trial, arm }: Lot): void {
    this.#shown = { cut, arm }
    this.#base = null
    const mouths = trial.varies === 'mouths' ? mouthsFor(arm) : null
    if (mouths !== null) saw.setNext({ mouths })
  }

  get base(): Key | null {
    return this.#base
  }

  glueTo(base: Key): void {
    this.#base = base
  }

  isMarked(mother: Id): boolean {
    return this.#marked === mother
  }

  /** Her parts are marked: what the next one gets is shown, and set. */
  mark(mother: Id, { arm }: Lot): void {
    this.#marked = mother
    saw.set({ method: arm })
  }

  /** A cut was begun: the next part is marked, or looked at, anew. */
  begun(): void {
    this.#marked = null
  }

  async forBase(cut: Id): Promise<ForBase> {
    const lot = await lotFor(cut)
    if (!lot) return {}
    if (lot.part) return { arm: lot.arm }
    const arm = this.shownFor(cut)
    if (arm === null) return 'unseen'
    return lot.trial.varies === 'base' ? { arm, base: this.#base ?? arm } : { arm }
  }

  /** The piece is saved; the next one is drawn for itself. */
  taken(): void {
    this.#shown = null
    this.#base = null
  }
}

export const lots = new Lots()
