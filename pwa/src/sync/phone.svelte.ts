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
import type { Shot } from '../photos/shot.ts'
import type { Fetch } from './answers.ts'
import { Drain } from './drain.ts'
import { adopt, askMe, isHeld, leave } from './epoch.ts'
import { status } from '../shell/status.svelte.ts'
import { NotSaved, NotSignedIn, PhoneError } from './errors.ts'
import { Keeping } from './keeping.svelte.ts'
import { Live } from './live.svelte.ts'
import { askCount } from './numbers.ts'
import { Outbox } from './outbox.ts'
import { keepRhythm } from './rhythm.ts'
import type { AnyDraft, Draft, Paired, Waiting } from './views.ts'
import { Witness } from './witness.ts'

export { Live } from './live.svelte.ts'
export { NotReadable, NotSaved, NotSignedIn, PhoneError } from './errors.ts'
export type * from './views.ts'

export class Phone extends Keeping {
  readonly #outbox: Outbox
  readonly #drain: Drain
  readonly #fetch: Fetch

  constructor(
    fetch: Fetch = (path, init) => globalThis.fetch(path, init),
    name = 'nubbin',
    witness = new Witness(),
  ) {
    super(name, witness)
    this.#outbox = new Outbox(this.db)
    this.#fetch = fetch
    this.#drain = new Drain(this.db, this.#outbox, fetch)
  }

  /** Read what is on this phone and begin to send and fetch. Returns the undoing. Called once. */
  async start(): Promise<() => void> {
    const unwatch = await this.watch()
    if (this.paired) void this.persist()
    const stop = keepRhythm(() => this.#round())
    return () => {
      stop()
      unwatch()
    }
  }

  /**
   * Where nobody is known here, ask the server once: a browser may have emptied the storage and
   * kept the session. Never rejects; without an answer, or with a 401, signing in is what is left.
   */
  async recognise(): Promise<void> {
    try {
      const answer = this.paired || this.wiped ? null : await askMe(this.#fetch)
      if (answer?.ok && !this.paired) await this.#arrive(answer.body, true)
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
    }
  }

  /** Send and fetch now. Never rejects: what is wrong is in `paused` or `broken`. */
  async sync(): Promise<void> {
    await this.#round()
  }

  /**
   * Whom the server signed in here, with `staff` null where nobody holds a shared phone, or null on
   * leaving. What waits to be sent is kept.
   */
  async setMe(paired: Paired | null): Promise<void> {
    if (paired) await this.#arrive(paired, false)
    else {
      await leave(this.db)
      await this.refresh()
    }
  }

  /**
   * The device's numbers must go on where they stood: where only the server can know that, it is
   * asked first. `sure`: without its answer nobody is taken to be here.
   */
  async #arrive(paired: Paired, sure: boolean): Promise<void> {
    const count = isHeld(paired) ? await askCount(this.db, this.#outbox, this.#fetch, paired) : null
    if (sure && count && !count.ok) return
    await adopt(this.db, paired, this.witness.recall(), count?.ok ? count.body : null)
    await this.refresh()
    void this.persist()
    void this.#round()
  }

  newId(): Id {
    return this.#outbox.newId()
  }

  async record<K extends Kind>(kind: K, subject: SubjectOf<K>, body: BodyOf<K>): Promise<RecordOf<K>> {
    const [made] = await this.recordAll([draft(kind, subject, body) as AnyDraft])
    return made as RecordOf<K>
  }

  /** `shots` are photos that some of the drafts name: saved with them, all or none. */
  async recordAll(drafts: readonly AnyDraft[], shots: readonly Shot[] = []): Promise<AnyRecord[]> {
    const me = this.me
    if (!me) throw new NotSignedIn()
    const author = { staff: me.staff.id, device: me.device.id }
    const made = await this.#again(() => this.#outbox.save(drafts, author, shots))
    await this.refresh()
    void this.#round()
    return made
  }

  /** Storage that was emptied under this tab knows nobody: found out by looking, and tried once more. */
  async #again<T>(save: () => Promise<T>): Promise<T> {
    try {
      const made = await save()
      status.stuck = false
      return made
    } catch (error) {
      status.stuck = error instanceof NotSaved && error.name === 'NotSaved'
      if (!(error instanceof NotSignedIn)) throw error
      await this.refresh()
      if (!this.me) throw error
      return save()
    }
  }

  check(piece: Id, body: BodyOf<'check'>): Promise<RecordOf<'check'>> {
    return this.record('check', { kind: 'piece', id: piece }, body)
  }

  /** Take a record back, sent or not. */
  undo(record: Id, why: string): Promise<RecordOf<'retract'>> {
    return this.record('retract', { kind: 'record', id: record }, { why })
  }

  /** Take records back, sent or not. Those that the server has refused meanwhile are let go of. */
  async undoAll(records: readonly Id[], why: string): Promise<AnyRecord[]> {
    const refused = new Set((await this.waiting()).filter((one) => one.state === 'refused').map((one) => one.record.id))
    await this.drop(records.filter((id) => refused.has(id)))
    const others = records.filter((id) => !refused.has(id))
    return others.length > 0 ? this.recordAll(others.map((id) => draft('retract', { kind: 'record', id }, { why }))) : []
  }

  /** Let go of refused records: they stay on this phone, struck through. */
  async drop(records: readonly Id[]): Promise<void> {
    if (records.length > 0) await this.#outbox.drop(records)
    await this.refresh()
  }

  define(list: ListName, id: Key, fields: BodyOf<'define'>['fields'], retired?: boolean): Promise<AnyRecord> {
    return this.record('define', { kind: 'item', id }, { list, fields, retired })
  }

  /** All that is not yet sent, oldest first, refused ones included: everybody's, not only mine. */
  waiting(): Promise<Waiting[]> {
    return this.#outbox.waiting()
  }

  /** Put a refused record back in the line, for when what was wrong with it has been set right. */
  async retry(record: Id): Promise<void> {
    await this.#outbox.retry(record)
    await this.refresh()
    void this.#round()
  }

  /** This phone's clock and run, as they go with what is sent or saved. */
  sent(): ReturnType<Outbox['sent']> {
    return this.#outbox.sent()
  }

  async #round(): Promise<boolean> {
    try {
      // A session that outlived the storage is met again as soon as the server answers.
      if (!this.ready) await this.refresh()
      if (!this.paired) await this.recognise()
      let outcome = await this.#drain.run()
      // Storage that was emptied under this tab looks like a phone that nobody is at.
      if (outcome.paused === 'signed-out' && this.paired && (await this.goesOn())) outcome = await this.#drain.run()
      this.conclude(outcome)
      // That another person's records wait for them is no reason to talk less often.
      return outcome.paused === null || outcome.paused === 'other-person'
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
      return false
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
