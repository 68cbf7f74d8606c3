import { keep, kept } from './kept.ts'

const KEY = 'nubbin.awake'
/** A phone laid down between two tanks is picked up sooner; one forgotten goes dark after this. */
export const REST_MS = 5 * 60_000

/**
 * Keeps the screen on while somebody works at the tanks with wet hands. The browser takes the lock
 * away whenever the page is hidden or the battery is low; it is asked for again when there is a
 * touch, a key, a label read, or the page comes back.
 */
export class Awake {
  wanted = $state(kept<boolean>(KEY) ?? true)
  readonly possible = 'wakeLock' in navigator
  #holders = 0
  #lock: WakeLockSentinel | null = null
  #asking = false
  #timer: ReturnType<typeof setTimeout> | undefined

  /** Called by what wants the screen on for as long as it stands. Returns the letting go. */
  hold(): () => void {
    this.#holders += 1
    this.stir()
    return () => {
      this.#holders -= 1
      if (this.#holders === 0) this.#rest()
    }
  }

  set(on: boolean): void {
    this.wanted = on
    keep(KEY, on)
    if (on) this.stir()
    else this.#rest()
  }

  /** Somebody is there. */
  stir(): void {
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => this.#rest(), REST_MS)
    void this.#take()
  }

  /** Listen for signs of somebody from now on. Returns the undoing. */
  start(): () => void {
    const here = () => this.stir()
    const signs = ['pointerdown', 'keydown', 'visibilitychange'] as const
    for (const sign of signs) document.addEventListener(sign, here, { capture: true, passive: true })
    return () => {
      for (const sign of signs) document.removeEventListener(sign, here, { capture: true })
      this.#rest()
    }
  }

  #due(): boolean {
    return this.possible && this.wanted && this.#holders > 0 && !document.hidden
  }

  async #take(): Promise<void> {
    if (!this.#due() || this.#asking || this.#lock?.released === false) return
    this.#asking = true
    try {
      this.#lock = await navigator.wakeLock.request('screen')
    } catch (error) {
      // Saving power, or hidden in the meantime: the phone decides, and nothing depends on it.
      if (!(error instanceof DOMException)) throw error
    } finally {
      this.#asking = false
    }
    if (!this.#due()) this.#rest()
  }

  #rest(): void {
    clearTimeout(this.#timer)
    void this.#lock?.release()
    this.#lock = null
  }
}

export const awake = new Awake()
