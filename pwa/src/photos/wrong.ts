export type Wrong = 'empty' | 'unreadable' | 'not-a-photo' | 'too-many-pixels' | 'undrawn' | 'needs-https' | 'unfetched'

/** No photo came of it, and why; nothing else has changed. */
export class NoShot extends Error {
  override readonly name = 'NoShot'
  readonly why: Wrong

  constructor(why: Wrong, options?: ErrorOptions) {
    super(why, options)
    this.why = why
  }
}
