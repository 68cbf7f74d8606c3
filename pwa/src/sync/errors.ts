/** What can go wrong on the phone itself. Each message says what was kept and what to do.
 *
 *   PhoneError ─┬─ NotSaved      nothing was written; the draft must be kept
 *               │   ├─ NoRoom        the phone is full
 *               │   └─ NotSignedIn   nobody is signed in, so a record would have no author
 *               └─ NotReadable   the phone's own storage could not be read
 */
export class PhoneError extends Error {
  override readonly name: string = 'PhoneError'
}

export class NotSaved extends PhoneError {
  override readonly name: string = 'NotSaved'

  constructor(cause?: unknown) {
    super(
      'Not saved. The phone would not write it down. What you entered is still on the screen: ' +
        'try again, and if it fails again, open the app anew.',
      { cause },
    )
  }
}

export class NoRoom extends NotSaved {
  override readonly name = 'NoRoom'
  override readonly message =
    'Not saved. This phone has no room left for it. What you entered is still on the screen: ' +
    'make room on the phone, or leave a photo out, and save again.'
}

export class NotSignedIn extends NotSaved {
  override readonly name = 'NotSignedIn'
  override readonly message =
    'Not saved. Nobody is signed in on this phone, so the record would have no author. ' +
    'What you entered is still on the screen: sign in and save again.'
}

export class NotReadable extends PhoneError {
  override readonly name = 'NotReadable'

  constructor(cause?: unknown) {
    super(
      'The records on this phone could not be read. Nothing was changed. Open the app anew; ' +
        'if it stays so, do not clear the browser’s data before the records waiting here are sent.',
      { cause },
    )
  }
}
