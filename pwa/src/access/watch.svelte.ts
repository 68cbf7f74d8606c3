/** Looks every three seconds whether the other phone has used the code. Made while a component is. */
import { pairedSince, type NewPhone } from './pairing.ts'
import { fetchChanges } from './requests.ts'
import { ServerError } from './server.ts'

const EVERY_MS = 3_000

export class Watch {
  paired = $state.raw<NewPhone | null>(null)
  /** The last look had no answer: the code may have been used all the same. */
  lost = $state(false)

  constructor(since: number, staff: string | null) {
    $effect(() => {
      let over = false
      let timer: ReturnType<typeof setTimeout> | undefined
      const look = async () => {
        await this.#look(since, staff)
        if (!over && !this.paired) timer = setTimeout(look, EVERY_MS)
      }
      timer = setTimeout(look, EVERY_MS)
      return () => {
        over = true
        clearTimeout(timer)
      }
    })
  }

  async #look(since: number, staff: string | null): Promise<void> {
    try {
      this.paired = pairedSince((await fetchChanges(fetch, null)).entries, since, staff)
      this.lost = false
    } catch (error) {
      if (!(error instanceof ServerError)) throw error
      this.lost = true
    }
  }
}
