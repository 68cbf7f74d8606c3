/** What can go wrong on the phone itself. Each message says what was kept and what to do.
 *
 *   PhoneError ─┬─ NotSaved      nothing was written; the draft must be kept
 *               │   ├─ NoRoom        the phone is full
 *               │   └─ NotSignedIn   nobody is signed in, so a record would have no author
 *               └─ NotReadable   the phone's own storage could not be read
 */
import { t } from '../words/index.ts'

export class PhoneError extends Error {
  override readonly name: string = 'PhoneError'
}

export class NotSaved extends PhoneError {
  override readonly name: string = 'NotSaved'

  constructor(cause?: unknown, message = t('kit.storage.stuck')) {
    super(message, { cause })
  }
}

export class NoRoom extends NotSaved {
  override readonly name = 'NoRoom'

  constructor(cause?: unknown) {
    super(cause, t('kit.storage.full'))
  }
}

export class NotSignedIn extends NotSaved {
  override readonly name = 'NotSignedIn'

  constructor(cause?: unknown) {
    super(cause, t('kit.storage.nobody'))
  }
}

export class NotReadable extends PhoneError {
  override readonly name = 'NotReadable'

  constructor(cause?: unknown) {
    super(t('kit.storage.unreadable'), { cause })
  }
}
