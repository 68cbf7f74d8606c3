/** One family on the screen: what of it is open, what is marked, and what was found. */
import { SvelteSet } from 'svelte/reactivity'
import type { Woods } from './asking.ts'
import { atFirst, way } from './opening.ts'

export class OpenTree {
  readonly woods: () => Woods
  readonly open = new SvelteSet<string>()
  /** The piece that the person came from. */
  readonly from: string
  /** Of what was found, in reading order, the one that is shown. */
  shown = $state<string | null>(null)
  hits = $state.raw<readonly string[]>([])
  /** Grows each time that something is to be shown, the same piece again included. */
  turn = $state(0)

  constructor(woods: () => Woods, from: string) {
    this.woods = woods
    this.from = from
    for (const key of atFirst(woods(), from)) this.open.add(key)
  }

  toggle(key: string): void {
    if (!this.open.delete(key)) this.open.add(key)
  }

  /** Whether a piece must not be left out of a page: it is marked, or on the way to one that is. */
  sought(id: string): boolean {
    return id === this.from || id === this.shown || this.#ways.has(id)
  }

  readonly #ways = $derived.by(() => {
    const { members } = this.woods()
    const found = new Set<string>()
    for (const end of [this.from, this.shown]) {
      let at = end === null ? null : (members.get(end)?.mother ?? null)
      while (at !== null && !found.has(at)) {
        found.add(at)
        at = members.get(at)?.mother ?? null
      }
    }
    return found
  })

  show(id: string): void {
    this.shown = id
    this.turn += 1
    for (const key of way(this.woods(), id)) this.open.add(key)
  }

  /** Show the first of these, or where they were found before, the one after that which is shown. */
  found(hits: readonly string[], again: boolean): void {
    if (!again) this.shown = null
    this.hits = hits
    this.next()
  }

  /** The next of what was found, from the last one to the first again. */
  next(): void {
    const at = this.shown === null ? -1 : this.hits.indexOf(this.shown)
    const id = this.hits[(at + 1) % this.hits.length]
    if (id !== undefined) this.show(id)
  }
}
