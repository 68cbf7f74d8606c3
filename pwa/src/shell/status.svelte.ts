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
  /** Whether anything of this phone is not yet with the server, for whatever reason. */
  get pending(): boolean {
    return this.unsent + this.refused + this.photos + this.photosRefused > 0
  }
  /** The browser emptied this phone's storage, and nobody has read what is known of it. */
  loss = $state(false)
  /** What to say where the phone's own storage cannot be read; null where all is well. */
  broken = $state<string | null>(null)
  /** The last save failed for the storage's sake: opening the app anew may be what helps. */
  stuck = $state(false)
  /** The last answer of the server, or the lack of one; the browser's own word is only a hint. */
  online = $state(true)
}

export const status = new Status()
