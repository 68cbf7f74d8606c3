/** The most that goes in one chunk. */
export const CHUNK = 256 * 1024
const LEAST = 16 * 1024
/** Chunks in a row that must go well before more is ventured. */
const TRUST = 8

/**
 * How much to send at a time. Where the line breaks, or is so slow that patience ends, chunks become
 * small, so that each arrives and little of it goes twice; they grow again while all goes well.
 */
export class Pace {
  chunk = CHUNK
  #well = 0
  #tried = false

  /**
   * A photo is gone on with that broke off before the app was opened: the line may be as bad still.
   * What of a broken request had not been read when the line ended is lost, up to 64 kB each time.
   */
  resume(): void {
    if (!this.#tried) this.chunk = LEAST
  }

  well(): void {
    this.#tried = true
    this.#well += 1
    if (this.#well % TRUST === 0) this.chunk = Math.min(CHUNK, this.chunk * 2)
  }

  badly(): void {
    this.#tried = true
    this.chunk = LEAST
    this.#well = 0
  }
}
