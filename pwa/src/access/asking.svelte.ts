import { feel } from '../kit/feel.ts'
import { toasts } from '../kit/toasts.svelte.ts'
import { isFault, type Fault } from './fault.ts'
import { wantsSignIn } from './server.ts'
import { whyNot, whyNothing } from './why.ts'

/** Something fetched for a screen; the last answer stays while the next is on its way. */
export class Fetched<T> {
  value = $state.raw<T | null>(null)
  error = $state.raw<Fault | null>(null)
  busy = $state(false)
  readonly #ask: () => Promise<T>

  constructor(ask: () => Promise<T>) {
    this.#ask = ask
    void this.again()
  }

  /** Why there is nothing newer to show; null where all went well. */
  get problem(): string | null {
    return this.error && whyNothing(this.error)
  }

  get wantsSignIn(): boolean {
    return this.error !== null && wantsSignIn(this.error)
  }

  async again(): Promise<void> {
    this.busy = true
    try {
      this.value = await this.#ask()
      this.error = null
    } catch (error) {
      if (!isFault(error)) throw error
      this.error = error
    } finally {
      this.busy = false
    }
  }
}

/** One way to change something on the server from a screen: felt, and said in a toast. */
export class Changer {
  busy = $state(false)
  /** Why it was not done, or not known to be; what was typed is still on the screen. */
  problem = $state<string | null>(null)
  readonly #explain: (error: Fault) => string

  constructor(explain = whyNot) {
    this.#explain = explain
  }

  /** Whether it was changed; where not, `problem` says why. */
  async change<T>(work: () => Promise<T>, said?: (answer: T) => string): Promise<boolean> {
    if (this.busy) return false
    this.busy = true
    this.problem = null
    try {
      const answer = await work()
      if (said) {
        feel('saved')
        toasts.say(said(answer))
      }
      return true
    } catch (error) {
      if (!isFault(error)) throw error
      feel('refused')
      this.problem = this.#explain(error)
      return false
    } finally {
      this.busy = false
    }
  }
}
