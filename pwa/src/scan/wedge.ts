const GAP_MS = 90
const SHORTEST = 8

/**
 * A hand-held reader types like a very fast person and ends with Enter. Keys closer together than
 * 90 ms (common practice, no source) are one burst; anything slower starts a new one.
 */
export class Wedge {
  #burst = ''
  #last = -Infinity

  /** True while the keys come too fast for a person, so that they may be kept from the page. */
  get bursting(): boolean {
    return this.#burst.length > 1
  }

  /** Feed one key with its time in milliseconds; the text is returned when a burst ends in Enter. */
  key(key: string, at: number): string | null {
    // Readers send Shift and the like as keys of their own.
    if (key.length !== 1 && key !== 'Enter') return null
    if (at - this.#last > GAP_MS) this.#burst = ''
    this.#last = at
    if (key !== 'Enter') {
      this.#burst += key
      return null
    }
    const text = this.#burst
    this.#burst = ''
    return text.length >= SHORTEST ? text : null
  }
}
