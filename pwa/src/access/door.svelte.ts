import { getMeta } from '../sync/meta.ts'
import { phone, type Paired } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { isFault } from './fault.ts'
import { learnNames } from './names.ts'
import { noteDown } from './noting.ts'
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
      const paired = await ask(this.device.trim(), await remembered())
      await noteDown(paired)
      void learnNames()
      return paired
    } catch (error) {
      if (!isFault(error)) throw error
      this.problem = whyNotIn(error)
      return null
    } finally {
      this.busy = false
    }
  }
}

/**
 * This phone's key from an earlier sign-in, out of the database itself: a link opened cold is tried
 * before anything of the phone is shown. Without the key the phone would be a new one to the server,
 * and what waits here would be another's. Throws NotReadable.
 */
async function remembered(): Promise<string | null> {
  return (await phone.read((tx) => getMeta(tx, 'device'))) ?? phone.device
}
