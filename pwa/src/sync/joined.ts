/**
 * Work of which one run at a time is enough. Whoever asks while it runs gets the one run after it,
 * which sees everything that was there when they asked.
 */
export class Joined<T> {
  readonly #work: () => Promise<T>
  #running: Promise<T> | null = null
  #next: Promise<T> | null = null

  constructor(work: () => Promise<T>) {
    this.#work = work
  }

  /** Whether somebody waits for the run after this one. */
  get asked(): boolean {
    return this.#next !== null
  }

  run(): Promise<T> {
    if (!this.#running) {
      this.#running = this.#work().finally(() => (this.#running = null))
      return this.#running
    }
    const begin = () => {
      this.#next = null
      return this.run()
    }
    this.#next ??= this.#running.then(begin, begin)
    return this.#next
  }
}
