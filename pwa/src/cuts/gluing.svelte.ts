import { Saver } from '../check/saver.svelte.ts'
import { display } from '../label/code.ts'
import { heldBy } from '../labels/takable.ts'
import type { Id, Key } from '../records/fields.ts'
import type { BodyOf } from '../records/kinds.ts'
import { mapOf, readPlace, within, writePlace } from '../stock/places.ts'
import { calledName, itemName, numberWords } from '../stock/view.ts'
import { phone, type PieceView } from '../sync/phone.svelte.ts'
import { OPEN, standsAt } from '../trays/standing.ts'
import { placeAfter } from '../trays/tray-map.ts'
import { lots } from '../trials/lots.svelte.ts'
import { t } from '../words/index.ts'
import { carries, readWhole } from './numbers.ts'
import { saw, type OpenCut } from './saw.svelte.ts'

const MM_MOST = 2000
const find = (id: string) => phone.item(id)

/** Gluing the bases of one cut: each code that is taken is a piece saved. */
export class Gluing {
  readonly saver = new Saver()
  /** Why the last base was not saved; the answers stand. */
  problem = $state<string | null>(null)
  #line: Promise<void> = Promise.resolve()

  /** Codes wait for one another, so that two labels read in one breath are two pieces. */
  take(code: string | null, cut: OpenCut, mother: PieceView): Promise<void> {
    this.#line = this.#line.then(() => this.#glue(code, cut, mother))
    return this.#line
  }

  async #glue(code: string | null, cut: OpenCut, mother: PieceView): Promise<void> {
    this.problem = null
    const glued = await phone.gluedFrom(cut.id)
    const refusal = code === null ? null : await this.#taken(code, glued)
    const answers = refusal === null ? this.#answers() : null
    const drawn = await lots.forBase(cut)
    if (drawn === 'unseen') this.problem ??= refusal ?? t('trials.next.unseen')
    else this.problem ??= refusal ?? (answers && (await this.#standsBadly(code, drawn.base, answers)))
    if (answers === null || drawn === 'unseen' || this.problem !== null) return
    const purpose = answers.purpose
    const number = numberWords(carries(mother.number, purpose, phone.settings))
    const body = { cut: cut.id, ...answers, ...drawn, ...(code !== null && { code }) }
    const what = code === null ? t('piece.noCode') : display(code)
    const work = () => phone.record('glue', { kind: 'piece', id: phone.newId() }, body)
    const made = await this.saver.save(work, {
      text: t('cuts.glue.saved', { code: what, count: glued.length + 1, number }),
      undone: () => this.restore(body),
      undoneText: t('cuts.glue.undone'),
    })
    if (made) lots.taken()
    if (made && answers.place !== undefined) await this.#goOn(answers.place)
  }

  /** Why this code cannot be glued; null where it can. */
  async #taken(code: string, glued: readonly PieceView[]): Promise<string | null> {
    if (glued.some((piece) => piece.code === code)) return t('cuts.glue.twice', { code: display(code) })
    const held = await heldBy(code)
    if (held?.is === 'on') return t('cuts.glue.taken', { code: display(code), name: held.name })
    return held && t('cuts.glue.void', { code: display(code) })
  }

  /** Why it could not be found again where it is put; null where it can. */
  async #standsBadly(code: string | null, base: Key, { tray, place }: Pick<BodyOf<'glue'>, 'tray' | 'place'>): Promise<string | null> {
    if (code === null && find(base)?.fields['label_sits'] === 'tray' && place === undefined) return t('cuts.glue.needPlace')
    if (tray === undefined || place === undefined) return null
    const there = await standsAt(tray, place)
    return there ? t('cuts.glue.placeTaken', { place, tray: itemName(tray, find), name: calledName(there) }) : null
  }

  #answers(): (Omit<BodyOf<'glue'>, 'cut' | 'base' | 'code'>) | null {
    const { size, start, mouths, purpose, tray, place } = saw.draft.next
    const size_mm = readWhole(size, 1, MM_MOST)
    const spot = place.trim() === '' || tray === null ? undefined : readPlace(place)
    const map = mapOf(tray === null ? undefined : find(tray))
    if (purpose === null) this.problem = t('cuts.glue.needPurpose')
    else if (size_mm === null) this.problem = t('cuts.glue.sizeBad')
    else if (spot === null) this.problem = t('cuts.glue.placeBad')
    else if (spot && !within(spot, map) && map && tray !== null) {
      this.problem = t('cuts.glue.outside', { tray: itemName(tray, find), last: writePlace(map) })
    }
    if (this.problem !== null || purpose === null || size_mm === null || spot === null) return null
    return {
      purpose,
      ...(mouths !== null && { mouths_kept: mouths }),
      ...(size_mm !== undefined && { size_mm }),
      ...(start !== null && { encrustation: start }),
      ...(tray !== null && { tray }),
      ...(spot && { place: writePlace(spot) }),
    }
  }

  /** The next free place of the tray's map; none where the tray is full. */
  async #goOn(from: string): Promise<void> {
    const { tray } = saw.draft.next
    if (tray === null) return
    const standing = await phone.pieces({ tray, stages: OPEN })
    saw.setNext({ place: placeAfter(standing, mapOf(find(tray)), from) ?? '' })
  }

  /** Set the answers as a base had them, for scanning it once more. */
  restore(body: BodyOf<'glue'>): void {
    this.#setBase(body.cut, body.base)
    saw.setNext({
      size: body.size_mm === undefined ? '' : String(body.size_mm),
      start: body.encrustation ?? null,
      mouths: body.mouths_kept ?? null,
      purpose: body.purpose,
      tray: body.tray ?? null,
      place: body.place ?? '',
    })
  }

  /** Where another cut is being glued by now, that one's stays. */
  #setBase(of: Id | null, base: Key | null): void {
    const { cut } = saw.draft
    if (cut?.id === of && cut && base !== null) saw.set({ cut: { ...cut, base } })
  }

  async undoLast(last: PieceView): Promise<void> {
    const { state } = last
    const record = state.begun?.record
    if (record === undefined) return
    const said = { text: t('cuts.glue.undone'), final: true }
    if (!(await this.saver.save(() => phone.undo(record, t('piece.retract.undo')), said))) return
    this.#setBase(state.cut, state.base)
    saw.setNext({
      size: state.size_mm === null ? '' : String(state.size_mm),
      start: state.start,
      mouths: state.mouths_kept,
      purpose: state.purpose,
      tray: state.tray,
      place: state.place ?? '',
    })
  }
}
