import { PhoneError } from './errors.ts'

/** Small changes that a screen makes on this phone: what went wrong with the last is a sentence. */
export class Attempts {
  problem = $state<string | null>(null)

  /** Whether it went well. */
  async attempt(work: () => Promise<unknown>): Promise<boolean> {
    this.problem = null
    try {
      await work()
      return true
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.problem = error.message
      return false
    }
  }
}
