import { Saver } from '../check/saver.svelte.ts'
import { toasts } from '../kit/toasts.svelte.ts'
import { display } from '../label/code.ts'
import { nameOf, type Item } from '../stock/lists.ts'
import { mapOf } from '../stock/places.ts'
import { calledName, dayText } from '../stock/view.ts'
import { phone, type PieceView } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { OPEN } from './standing.ts'
import { freePlaces, nextFree, trayMap, type TrayMap } from './tray-map.ts'

/** A piece put here, and the record that says so. */
export interface Put {
  readonly record: string
  readonly name: string
  /** Null in a tray without a map. */
  readonly place: string | null
}

/** Putting piece after piece into one tray: each is a `move` of its own. */
export class Putting {
  readonly saver = new Saver()
  /** Why the last one was not moved; nothing else is changed by it. */
  problem = $state<string | null>(null)
  /** It stands here already: moved all the same if somebody says so. */
  anyway = $state.raw<PieceView | null>(null)
  /** What was put here since the screen was opened, the last one last. */
  put = $state.raw<readonly Put[]>([])
  /** A place somebody tapped, for the next piece only. */
  chosen = $state<string | null>(null)
  readonly #tray: () => Item
  #line: Promise<void> = Promise.resolve()

  constructor(tray: () => Item) {
    this.#tray = tray
  }

  /** Codes wait for one another, so that two labels read in one breath get two places. */
  takeCode(code: string): Promise<void> {
    return this.#queue(async () => {
      const piece = await phone.byCode(code)
      if (piece) return this.#judge(piece)
      const item = phone.itemByCode(code)
      this.#refuse(item ? t('trays.put.item', { code: display(code), name: nameOf(item) }) : t('trays.put.unknown', { code: display(code) }))
    })
  }

  takePiece(id: string): Promise<void> {
    return this.#queue(async () => {
      const piece = await phone.piece(id)
      if (piece) await this.#judge(piece)
    })
  }

  takeAnyway(): Promise<void> {
    const piece = this.anyway
    return this.#queue(async () => {
      if (piece) await this.#move(piece)
    })
  }

  /** The place the next piece goes to: the tapped one while it is free, else the first after the last. */
  next(map: TrayMap): string | null {
    if (this.chosen !== null && freePlaces(map).includes(this.chosen)) return this.chosen
    return nextFree(map, this.put.at(-1)?.place ?? null)
  }

  async undoLast(): Promise<void> {
    const last = this.put.at(-1)
    if (!last) return
    this.problem = this.anyway = null
    const said = { text: t('trays.put.undone', { name: last.name }), final: true }
    if (!(await this.saver.save(() => phone.undoAll([last.record], t('piece.retract.undo')), said))) return
    this.#forget(last.record)
    this.chosen = last.place
  }

  #queue(work: () => Promise<void>): Promise<void> {
    this.#line = this.#line.then(async () => {
      this.problem = this.anyway = null
      await work()
    })
    return this.#line
  }

  #refuse(words: string): void {
    // What was said of the piece before is no longer what is to be read.
    toasts.clear()
    this.problem = words
  }

  async #judge(piece: PieceView): Promise<void> {
    const { loss, exit, tray, place } = piece.state
    const name = calledName(piece)
    if (exit) return this.#refuse(t('trays.put.exited', { name, day: dayText(exit.day) }))
    if (loss) return this.#refuse(t('trays.put.lost', { name, day: dayText(loss.by) }))
    if (tray === this.#tray().id && (place !== null || mapOf(this.#tray()) === null)) {
      this.#refuse(t('trays.put.here', { name, place: place ?? t('trays.put.noPlace') }))
      if (place !== null) this.anyway = piece
      return
    }
    await this.#move(piece)
  }

  async #move(piece: PieceView): Promise<void> {
    const tray = this.#tray()
    const size = mapOf(tray)
    const there = await phone.pieces({ tray: tray.id, stages: OPEN })
    const map = trayMap(there.filter((one) => one.id !== piece.id), size)
    const place = size === null ? null : this.next(map)
    if (size !== null && place === null) return this.#refuse(t('trays.put.full'))
    if (this.chosen !== null && this.chosen !== place) {
      const taken = this.chosen
      this.chosen = null
      return this.#refuse(t('trays.put.taken', { place: taken, name: calledName(piece) }))
    }
    await this.#save(piece, tray, place)
  }

  async #save(piece: PieceView, tray: Item, place: string | null): Promise<void> {
    const name = calledName(piece)
    const body = { tray: tray.id, ...(place !== null && { place }) }
    const made = await this.saver.save(() => phone.record('move', { kind: 'piece', id: piece.id }, body), {
      text: place === null ? t('trays.put.savedNoPlace', { name, tray: nameOf(tray) }) : t('trays.put.saved', { name, place }),
      undone: (record) => this.#forget(record.id),
      undoneText: t('trays.put.undone', { name }),
    })
    if (!made) return
    this.put = [...this.put, { record: made.id, name, place }]
    this.chosen = null
  }

  #forget(record: string): void {
    this.put = this.put.filter((one) => one.record !== record)
  }
}
