export interface Said {
  readonly id: number
  readonly text: string
  readonly undo: (() => void) | null
}

const STAYS_MS = 10_000

/** What was just done, said once, with ten seconds to take it back. */
class Toasts {
  shown = $state<Said | null>(null)
  #next = 0
  #timer: ReturnType<typeof setTimeout> | undefined

  say(text: string, undo: (() => void) | null = null): void {
    this.shown = { id: this.#next++, text, undo }
    this.go()
  }

  /** Hold the time while someone is on the undo button; `go` starts the ten seconds afresh. */
  hold(): void {
    clearTimeout(this.#timer)
  }

  go(): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => this.clear(), STAYS_MS)
  }

  undo(): void {
    const undo = this.shown?.undo
    this.clear()
    undo?.()
  }

  clear(): void {
    clearTimeout(this.#timer)
    this.shown = null
  }
}

export const toasts = new Toasts()
