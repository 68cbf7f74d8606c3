import { phone, type Paired } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { learnNames } from './names.ts'
import { ServerError } from './server.ts'
import { whyNotIn } from './why.ts'

/** Signing this phone in, by a code or by a password: one way in for both forms. */
export class Door {
  device = $state(t(matchMedia('(pointer: coarse)').matches ? 'access.defaultDevice.phone' : 'access.defaultDevice.computer'))
  busy = $state(false)
  problem = $state<string | null>(null)

  /** Resolves with who is signed in, or null where nobody was; `problem` then says why. */
  async open(ask: (device: string, remembered: string | null) => Promise<Paired>): Promise<Paired | null> {
    this.busy = true
    this.problem = null
    try {
      const paired = await ask(this.device.trim(), phone.device)
      await phone.setMe(paired)
      void learnNames()
      return paired
    } catch (error) {
      if (!(error instanceof ServerError)) throw error
      this.problem = whyNotIn(error)
      return null
    } finally {
      this.busy = false
    }
  }
}
