/**
 * What stands outside the database of how far this device's numbers had come, and how many records
 * and photos waited: so that an emptied database is noticed. It is a help and never counted on, since a browser
 * that clears a site may clear this too.
 */
export interface Seen {
  readonly device: string
  /** The last number given out. */
  readonly last: number
  readonly unsent: number
  /** When the oldest waiting record was saved; null where none waited. */
  readonly oldest: number | null
  /** Photos that were not at the server. */
  readonly photos: number
}

const KEY = 'nubbin.numbers'

export class Witness {
  readonly #store: Storage | null
  #last = ''

  constructor(store: Storage | null = ownStorage()) {
    this.#store = store
  }

  recall(): Seen | null {
    try {
      const text = this.#store?.getItem(KEY) ?? (this.#last || null)
      const seen = text === null ? null : (JSON.parse(text) as Partial<Seen> | null)
      if (typeof seen?.device !== 'string' || typeof seen.last !== 'number') return null
      return { device: seen.device, last: seen.last, unsent: seen.unsent ?? 0, oldest: seen.oldest ?? null, photos: seen.photos ?? 0 }
    } catch (error) {
      if (error instanceof SyntaxError || error instanceof DOMException) return null
      throw error
    }
  }

  remember(seen: Seen): void {
    const text = JSON.stringify(seen)
    if (text === this.#last) return
    this.#last = text
    this.#try((store) => store.setItem(KEY, text))
  }

  /** After everything was deleted on purpose. */
  forget(): void {
    this.#last = ''
    this.#try((store) => store.removeItem(KEY))
  }

  #try(work: (store: Storage) => void): void {
    try {
      if (this.#store) work(this.#store)
    } catch (error) {
      if (!(error instanceof DOMException)) throw error
    }
  }
}

/** Null outside a page, and where the browser keeps nothing. */
function ownStorage(): Storage | null {
  try {
    return 'document' in globalThis ? globalThis.localStorage : null
  } catch (error) {
    if (error instanceof DOMException) return null
    throw error
  }
}
