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

  well(): void {
    this.#well += 1
    if (this.#well % TRUST === 0) this.chunk = Math.min(CHUNK, this.chunk * 2)
  }

  badly(): void {
    this.chunk = LEAST
    this.#well = 0
  }
}
