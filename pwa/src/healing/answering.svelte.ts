import { isFault, type Fault } from '../access/fault.ts'
import { wantsSignIn } from '../access/server.ts'
import { fetchOf, keptOf, type Kept, type Source } from './kept-reports.ts'

/**
 * One report on a screen: what the phone has is shown at once, and the server's newer answer takes
 * its place when it comes.
 */
export class Answering<T> {
  shown = $state.raw<Kept<T> | null>(null)
  /** Why there is nothing newer. */
  error = $state.raw<Fault | null>(null)
  busy = $state(false)
  #source: Source<T> | null = null

  get wantsSignIn(): boolean {
    return this.error !== null && wantsSignIn(this.error)
  }

  async ask(source: Source<T>): Promise<void> {
    this.#source = source
    this.shown = keptOf(source)
    await this.again()
  }

  /** An answer to what is no longer asked is kept, and not shown. */
  async again(): Promise<void> {
    const source = this.#source
    if (source === null) return
    this.busy = true
    this.error = null
    try {
      const found = await fetchOf(fetch, source)
      if (source === this.#source) this.shown = found
    } catch (error) {
      if (!isFault(error)) throw error
      if (source === this.#source) this.error = error
    } finally {
      if (source === this.#source) this.busy = false
    }
  }
}
