/**
 * A label stays in view for many frames but is one scan: a code is fresh again only after it has
 * been out of view for a while. A text that is not ours must be read twice before it is spoken of,
 * since a single false reading happens.
 */
export class Seen {
  #codes = new Map<string, number>()
  #foreign: { text: string; at: number } | null = null

  constructor(
    private readonly awayMs = 2_500,
    private readonly twiceWithinMs = 1_500,
  ) {}

  isFresh(code: string, now: number): boolean {
    const last = this.#codes.get(code)
    return last === undefined || now - last > this.awayMs
  }

  /** It was handed over, or it is still in view after that. */
  mark(code: string, now: number): void {
    this.#codes.set(code, now)
  }

  sureForeign(text: string, now: number): boolean {
    const before = this.#foreign
    this.#foreign = { text, at: now }
    return before !== null && before.text === text && now - before.at <= this.twiceWithinMs
  }
}
