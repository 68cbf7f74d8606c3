/** Writing down on this phone what the server has done for it already. */
import { NoRoom, PhoneError } from '../sync/errors.ts'
import { phone, type Paired } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'

/** The server has done it, and this phone could not write that down. */
export class NotNoted extends PhoneError {
  override readonly name = 'NotNoted'

  constructor(cause: PhoneError) {
    super(t(cause instanceof NoRoom ? 'access.notNoted.full' : 'access.notNoted.stuck'), { cause })
  }
}

/** Whom the server has signed in here, or null for nobody. Throws NotNoted. */
export async function noteDown(paired: Paired | null): Promise<void> {
  try {
    await phone.setMe(paired)
  } catch (error) {
    throw error instanceof PhoneError ? new NotNoted(error) : error
  }
}
