import { waitingIn } from './held.ts'
import { fetchHeld } from './requests.ts'
import { ServerError } from './server.ts'

/** How many records wait for a lead, as last heard; null before the first answer. */
class HeldCount {
  waiting = $state<number | null>(null)

  /** Ask once more. What cannot be asked now stays as it was: it is only a number on a sign. */
  async again(): Promise<void> {
    try {
      this.waiting = waitingIn(await fetchHeld(fetch))
    } catch (error) {
      if (!(error instanceof ServerError)) throw error
    }
  }
}

export const heldCount = new HeldCount()
