/**
 * What the screens talk to. No screen touches IndexedDB or fetch: it asks `phone`, and everything
 * here works without a network, from what is on this phone.
 *
 *   import { draft, live, NotSaved, phone } from '../sync/phone.svelte.ts'
 *
 *   Reading, in a component's script:
 *     const piece = live(() => phone.piece(id))      asks again whenever something changed, or `id`
 *     {#if piece.value} … {/if}                      undefined until the first answer, null if none
 *     phone.items('tray')   phone.item('tray.a1')    lists are held in memory: plain, reactive
 *     phone.settings   phone.me   phone.paused       likewise; unsent and refused counts are in
 *                                                    shell/status.svelte.ts
 *   Recording (all resolve only when it is safely on this phone; they reject with NotSaved, then
 *   nothing was saved: keep the person's entries on the screen and show `error.message`):
 *     await phone.check(id, { mouth: 'open', encrustation: 2 })
 *     await phone.record('loss', { kind: 'piece', id }, { how: 'dead' })
 *     await phone.recordAll([draft('check', …), …])  all or none: a sweep, a cut with its pieces
 *     await phone.undo(record.id, 'tapped by mistake')
 *   New pieces, cuts, sittings: `const id = phone.newId()`, then use it as subject or in a body.
 */
import type { AnyRecord, BodyOf, Kind, RecordOf, SubjectOf } from '../records/kinds.ts'
import type { Id, Key, ListName } from '../records/fields.ts'
import type { Fetch } from './answers.ts'
import { Database } from './database.ts'
import { Drain } from './drain.ts'
import { adopt, askMe, leave } from './epoch.ts'
import { NotSignedIn, PhoneError } from './errors.ts'
import { Joined } from './joined.ts'
import { Live } from './live.svelte.ts'
import { Outbox } from './outbox.ts'
import { findAbout, findByCode, findByPlace, findCut, findCuts, findPiece, findPieces } from './queries.ts'
import { keepRhythm } from './rhythm.ts'
import { Shown, snapshot } from './shown.svelte.ts'
import type {
  AnyDraft, CutView, Draft, Me, PieceFilter, PieceView, Waiting, WholePiece,
} from './views.ts'

export { Live } from './live.svelte.ts'
export { NotReadable, NotSaved, NotSignedIn, PhoneError } from './errors.ts'
export type * from './views.ts'

/** Reaches the other tabs; what one writes the others show. */
const CHANNEL = 'nubbin'

export class Phone extends Shown {
  readonly #db: Database
  readonly #outbox: Outbox
  readonly #drain: Drain
  readonly #fetch: Fetch
  #channel: BroadcastChannel | null = null
  readonly #refreshing = new Joined(() => this.#read())

  constructor(fetch: Fetch = (path, init) => globalThis.fetch(path, init), name = 'nubbin') {
    super()
    this.#db = new Database(name, () => {
      this.#channel?.postMessage('written')
      void this.#refresh()
    })
    this.#outbox = new Outbox(this.#db)
    this.#fetch = fetch
    this.#drain = new Drain(this.#db, this.#outbox, fetch)
  }

  /** Read what is on this phone and begin to send and fetch. Returns the undoing. Called once. */
  async start(): Promise<() => void> {
    this.#channel = new BroadcastChannel(CHANNEL)
    this.#channel.onmessage = () => void this.#refresh()
    await this.#refresh()
    if (this.me) void this.#persist()
    else void this.recognise()
    const stop = keepRhythm(() => this.#round())
    return () => {
      stop()
      this.#channel?.close()
      this.#channel = null
    }
  }

  /**
   * Where nobody is known here, ask the server once: a browser may have emptied the storage and
   * kept the session. Never rejects; without an answer, or with a 401, signing in is what is left.
   */
  async recognise(): Promise<void> {
    try {
      const answer = this.me ? null : await askMe(this.#fetch)
      if (answer?.ok && !this.me) await this.setMe(answer.body)
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
    }
  }

  /** Send and fetch now. Never rejects: what is wrong is in `paused` or `broken`. */
  async sync(): Promise<void> {
    await this.#round()
  }

  /** Whom the server signed in here, or null on leaving. What waits to be sent is kept. */
  async setMe(me: Me | null): Promise<void> {
    await (me ? adopt(this.#db, me) : leave(this.#db))
    await this.#refresh()
    if (me) void this.#persist()
    void this.#round()
  }

  newId(): Id {
    return this.#outbox.newId()
  }

  async record<K extends Kind>(kind: K, subject: SubjectOf<K>, body: BodyOf<K>): Promise<RecordOf<K>> {
    const [made] = await this.recordAll([draft(kind, subject, body) as AnyDraft])
    return made as RecordOf<K>
  }

  async recordAll(drafts: readonly AnyDraft[]): Promise<AnyRecord[]> {
    if (!this.me) throw new NotSignedIn()
    const made = await this.#outbox.save(drafts, { staff: this.me.staff.id, device: this.me.device.id })
    await this.#refresh()
    void this.#round()
    return made
  }

  check(piece: Id, body: BodyOf<'check'>): Promise<RecordOf<'check'>> {
    return this.record('check', { kind: 'piece', id: piece }, body)
  }

  /** Take a record back, sent or not. */
  undo(record: Id, why: string): Promise<RecordOf<'retract'>> {
    return this.record('retract', { kind: 'record', id: record }, { why })
  }

  undoAll(records: readonly Id[], why: string): Promise<AnyRecord[]> {
    return this.recordAll(records.map((id) => draft('retract', { kind: 'record', id }, { why })))
  }

  define(list: ListName, id: Key, fields: BodyOf<'define'>['fields'], retired?: boolean): Promise<AnyRecord> {
    return this.record('define', { kind: 'item', id }, { list, fields, retired })
  }

  piece(id: Id): Promise<WholePiece | null> {
    return this.#db.read((tx) => findPiece(tx, id))
  }

  /** The piece that holds the code; null where this phone knows none. */
  byCode(code: string): Promise<PieceView | null> {
    return this.#db.read((tx) => findByCode(tx, code))
  }

  /** Pieces at a place of a tray, open ones first, the last to arrive before the others. */
  byPlace(tray: Key, place: string): Promise<PieceView[]> {
    return this.#db.read((tx) => findByPlace(tx, tray, place))
  }

  /** Oldest first. */
  pieces(filter: PieceFilter = {}): Promise<PieceView[]> {
    return this.#db.read((tx) => findPieces(tx, filter))
  }

  /** Pieces glued from a cut, in the order of gluing. */
  gluedFrom(cut: Id): Promise<PieceView[]> {
    return this.pieces({ cut })
  }

  cut(id: Id): Promise<CutView | null> {
    return this.#db.read((tx) => findCut(tx, id))
  }

  /** Newest first; of one mother where she is named. */
  cuts(mother?: Id): Promise<CutView[]> {
    return this.#db.read((tx) => findCuts(tx, mother))
  }

  /** All that is not yet sent, oldest first, refused ones included: everybody's, not only mine. */
  waiting(): Promise<Waiting[]> {
    return this.#outbox.waiting()
  }

  /** The pieces that records of this phone are about, by record; one about no piece is left out. */
  about(records: readonly Id[]): Promise<ReadonlyMap<Id, PieceView>> {
    return this.#db.read((tx) => findAbout(tx, records))
  }

  /** Put a refused record back in the line, for when what was wrong with it has been set right. */
  async retry(record: Id): Promise<void> {
    await this.#outbox.retry(record)
    await this.#refresh()
    void this.#round()
  }

  async #round(): Promise<boolean> {
    try {
      const outcome = await this.#drain.run()
      this.conclude(outcome)
      return outcome.paused === null
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
      return false
    }
  }

  /** Ask the browser not to clear the records when it runs short of room. */
  async #persist(): Promise<void> {
    const storage = globalThis.navigator?.storage as StorageManager | undefined
    this.persisted = (await storage?.persist?.()) ?? false
  }

  #refresh(): Promise<void> {
    return this.#refreshing.run()
  }

  async #read(): Promise<void> {
    try {
      this.show(await this.#db.read(snapshot))
      this.broken = null
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
    }
  }
}

export const phone = new Phone()

/** One record to be, for `recordAll`. */
export function draft<K extends Kind>(kind: K, subject: SubjectOf<K>, body: BodyOf<K>): Draft<K> {
  return { kind, subject, body }
}

/** An answer that asks again when the phone's data, or anything that `ask` reads, has changed. */
export function live<T>(ask: () => Promise<T>): Live<T> {
  return new Live(ask, () => phone.version)
}
