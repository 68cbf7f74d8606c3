/**
 * Entries that are typed or tapped and not saved. While there is one, here or in another tab,
 * nothing may reload the app. The other tabs see it by a lock, which a closed tab cannot keep.
 */
import { untrack } from 'svelte'

const LOCK = 'nubbin-draft'

export class Drafts {
  /** How many are open in this tab. */
  open = $state(0)
  readonly #locks: LockManager | null
  #letGo: (() => void) | null = null

  constructor(locks: LockManager | null = globalThis.navigator?.locks ?? null) {
    this.#locks = locks
  }

  /** Called by a screen while it holds something not saved. Returns the letting go. */
  hold(): () => void {
    this.#count(1)
    let held = true
    return () => {
      if (held) this.#count(-1)
      held = false
    }
  }

  /** Called from within effects, which must not come to depend on what they change. */
  #count(by: 1 | -1): void {
    untrack(() => {
      this.open += by
      if (by === 1 && this.open === 1) this.#lock()
      if (this.open === 0) this.#unlock()
    })
  }

  /** Whether some tab holds one. Where the browser has no locks only this tab is known. */
  async anywhere(): Promise<boolean> {
    if (this.open > 0) return true
    if (!this.#locks) return false
    return this.#locks.request(LOCK, { mode: 'exclusive', ifAvailable: true }, async (lock) => lock === null)
  }

  #lock(): void {
    const held = new Promise<void>((letGo) => (this.#letGo = letGo))
    void this.#locks?.request(LOCK, { mode: 'shared' }, () => held)
  }

  #unlock(): void {
    this.#letGo?.()
    this.#letGo = null
  }
}

export const drafts = new Drafts()
