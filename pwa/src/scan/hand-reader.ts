import { codeIn, Wedge, type Heard } from './wedge.ts'

type Field = HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement

const TICKED = ['radio', 'checkbox', 'button', 'submit', 'reset', 'file', 'range', 'color', 'image']

/** What takes typing itself; a tile or a button keeps the focus after a tap and takes none. */
function fieldOf(target: EventTarget | null): Field | null {
  if (target instanceof HTMLInputElement) return TICKED.includes(target.type) ? null : target
  return target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement ? target : null
}

/**
 * Listens for a hand-held reader wherever the focus is, for a pad on the same screen or the same
 * sheet. What a person types is left alone; what a reader typed into a field is taken out again.
 */
export class HandReader {
  #wedge = new Wedge()
  #before: { field: Field; value: string } | null = null

  /**
   * Feed each key of the page; what a reader read for `pad` is returned as it ends. Without a pad,
   * or under an open sheet, nothing is read, but a reader's Enter still presses no button.
   */
  key(event: KeyboardEvent, pad: Element | null): Heard | null {
    const field = fieldOf(event.target)
    const burst = this.#wedge.key(event)
    if (this.#wedge.length === 1) this.#before = field && { field, value: field.value }
    // From the second key on it is too fast for a person: kept from buttons and scrolling.
    if (!field && (burst !== null || this.#wedge.length > 1)) event.preventDefault()
    if (burst === null || !pad || pad.closest('dialog') !== openSheet()) return null
    const heard = codeIn(burst)
    if (field && !heard.ok && heard.why === 'foreign') return null
    event.preventDefault()
    if (field && field === this.#before?.field) restore(field, this.#before.value)
    return heard
  }
}

function openSheet(): Element | null {
  return [...document.querySelectorAll('dialog:modal')].at(-1) ?? null
}

function restore(field: Field, value: string): void {
  field.value = value
  const kind = field instanceof HTMLSelectElement ? 'change' : 'input'
  field.dispatchEvent(new Event(kind, { bubbles: true }))
}
