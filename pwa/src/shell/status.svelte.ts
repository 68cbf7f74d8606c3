/** What the bar shows of the outbox. The sync side fills it; nothing here asks the network. */
export class Status {
  /** Records on this phone that the server has not yet confirmed. */
  unsent = $state(0)
  /** Records the server would not take, waiting for a person. */
  refused = $state(0)
  /** When the oldest unsent record was made, in milliseconds; null where there is none. */
  oldest = $state<number | null>(null)
  /** Photos that are not yet wholly at the server, their size in bytes, and those it would not take. */
  photos = $state(0)
  photoBytes = $state(0)
  photosRefused = $state(0)
  /** The last answer of the server, or the lack of one; the browser's own word is only a hint. */
  online = $state(true)
}

export const status = new Status()
