const STAYS_MS = 650

/**
 * A frame round the whole screen for a moment. A second one in that time only lets it stand: it
 * never blinks, whatever happens how fast (WCAG 2.2, success criterion 2.3.1).
 */
export class Flash {
  shown = $state<'saved' | 'refused' | null>(null)
  #timer: ReturnType<typeof setTimeout> | undefined

  show(kind: 'saved' | 'refused'): void {
    this.shown = kind
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => (this.shown = null), STAYS_MS)
  }
}

export const flash = new Flash()
