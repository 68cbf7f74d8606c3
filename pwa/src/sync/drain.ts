/**
 * One round of talking to the server: send what waits, fetch what is new, then send photos. Rounds of several tabs
 * are kept apart by a lock where the browser has one; nothing goes wrong without it, since records
 * are taken once and pages apply as often as they come.
 */
import { Pace } from '../photos/pace.ts'
import { tally } from '../photos/shelf.ts'
import { isOtherDatabase, type Fetch, type Halt } from './answers.ts'
import { Load } from './batches.ts'
import type { Database } from './database.ts'
import { adopt, askMe, isHeld } from './epoch.ts'
import { learnFates } from './fates.ts'
import { handOver, handOverLeft, handOverOwn } from './handover.ts'
import { Joined } from './joined.ts'
import { getMeta } from './meta.ts'
import { learnCount } from './numbers.ts'
import type { Outbox } from './outbox.ts'
import { pull } from './pull.ts'
import { push } from './push.ts'
import type { Read } from './schema.ts'
import type { Me, Paired, Paused, Problem } from './views.ts'

export interface Outcome {
  readonly paused: Paused | null
  readonly problem: Problem | null
}

const LOCK = 'nubbin-drain'
const LEARN_MS = 3600_000
/** A tab that is frozen while it holds the lock must not silence the others for ever. */
const LOCK_PATIENCE_MS = 120_000

export class Drain {
  readonly #db: Database
  readonly #outbox: Outbox
  readonly #fetch: Fetch
  readonly #locks: LockManager | null
  readonly #rounds = new Joined(() => this.#locked())
  readonly #pace = new Pace()
  readonly #load = new Load()
  #greeted = false
  /** When it was last asked what became of records that the server holds. */
  #learnt = -Infinity

  constructor(db: Database, outbox: Outbox, fetch: Fetch, locks: LockManager | null = globalThis.navigator?.locks ?? null) {
    this.#db = db
    this.#outbox = outbox
    this.#fetch = fetch
    this.#locks = locks
  }

  /** Begin a round, or join the one that is about to begin. It covers all that was saved before. */
  run(): Promise<Outcome> {
    return this.#rounds.run()
  }

  async #locked(): Promise<Outcome> {
    if (!this.#locks) return this.#round()
    const signal = AbortSignal.timeout(LOCK_PATIENCE_MS)
    try {
      return await this.#locks.request(LOCK, { signal }, () => this.#round())
    } catch (error) {
      // The patience only bounds the waiting for the lock, so no round has begun.
      if (error === signal.reason) return this.#round()
      throw error
    }
  }

  /** `again` is false where this round already follows one that met another database. */
  async #round(again = true): Promise<Outcome> {
    const me = await this.#me()
    if (!isMe(me)) return me === SIGNED_OUT || me.paused !== 'signed-out' ? outcome(me) : this.#signedOut(me)
    const uncounted = await learnCount(this.#db, this.#outbox, this.#fetch, me)
    if (uncounted) return isOtherDatabase(uncounted) ? this.#otherDatabase(again) : outcome(uncounted)
    const newest = await this.#db.read(lastPlace)
    const halt = await push(this.#db, this.#outbox, this.#fetch, me, this.#load)
    // Somebody has laid the phone down meanwhile: the next round finds out who holds it.
    if (halt?.paused === 'not-held') this.#greeted = false
    if (halt && isOtherDatabase(halt)) return this.#otherDatabase(again)
    if (halt && UNREACHABLE.has(halt.paused)) return outcome(halt)
    await handOverLeft(this.#db, this.#outbox, this.#fetch, me)
    const stopped = await pull(this.#db, this.#fetch, me.epoch)
    if (stopped && isOtherDatabase(stopped)) return this.#otherDatabase(again)
    if (stopped?.paused === 'signed-out') return this.#signedOut(stopped)
    if (stopped?.paused === 'not-held') this.#greeted = false
    const unlearnt = stopped ? null : await this.#fates(me)
    if (unlearnt) return isOtherDatabase(unlearnt) ? this.#otherDatabase(again) : outcome(unlearnt)
    const left = stopped ? null : await this.#photos(me, newest)
    if (left && isOtherDatabase(left)) return this.#otherDatabase(again)
    // Where only photos are declined for now, each says so itself; records and fetching went well.
    const cut = left && UNREACHABLE.has(left.paused) ? left : null
    const found = stopped ?? halt ?? cut ?? (await this.#othersWait(me))
    return outcome(found)
  }

  /**
   * Photos come last and hold nothing up: they leave off between two chunks when another round is
   * asked for here, or a record has been saved in another tab behind `newest`.
   */
  async #photos(me: Me, newest: number): Promise<Halt | null> {
    if ((await this.#db.read(tally)).waiting === 0) return null
    const send = await sender()
    if (!send) return null
    const giveWay = async () => this.#rounds.asked || (await this.#db.read(lastPlace)) > newest
    return send({ db: this.#db, fetch: this.#fetch, epoch: me.epoch, pace: this.#pace, giveWay })
  }

  /** A lead decides within days, so once an hour is soon enough. */
  async #fates(me: Me): Promise<Halt | null> {
    if (Date.now() - this.#learnt < LEARN_MS) return null
    const halt = await learnFates(this.#db, this.#fetch, me.epoch)
    if (!halt) this.#learnt = Date.now()
    return halt
  }

  /** Who is at this phone. Once a run the server is asked too: the role or the name may be new. */
  async #me(): Promise<Me | Halt> {
    const [known, paired] = await this.#db.read(async (tx) => [await getMeta(tx, 'me'), await getMeta(tx, 'paired')] as const)
    const here = known ?? paired
    if (!here) return SIGNED_OUT
    if (this.#greeted && known) return known
    const answer = await askMe(this.#fetch)
    if (!answer.ok) return answer
    const { staff, device } = answer.body
    if (device.id !== here.device.id) return SIGNED_OUT
    if (staff && staff.id !== known?.staff.id) return this.#otherHolder(answer.body)
    const unsettled = known && !isHeld(answer.body) ? await handOverOwn(this.#db, this.#outbox, this.#fetch, known) : null
    if (unsettled) return unsettled
    await adopt(this.#db, answer.body)
    this.#greeted = isHeld(answer.body)
    return isHeld(answer.body) ? answer.body : NOT_HELD
  }

  /**
   * The server takes somebody else to hold this phone: an answer to taking it in hand was lost, or
   * its database was put back. Who it is in truth is said at the phone, or records would go out
   * under a wrong name.
   */
  async #otherHolder(paired: Paired): Promise<Halt> {
    if (!paired.device.shared) return SIGNED_OUT
    await adopt(this.#db, { ...paired, staff: null })
    return NOT_HELD
  }

  /** Either merely signed out, or for good: then what waits is handed over, and nothing else is done. */
  async #signedOut(halt: Halt): Promise<Outcome> {
    this.#greeted = false
    const known = await this.#db.read((tx) => getMeta(tx, 'me'))
    const handed = known ? await handOver(this.#db, this.#outbox, this.#fetch, known) : null
    return handed ? outcome(handed.halt ?? stoppedBy('revoked')) : outcome(halt)
  }

  /** Learn whose the other database is and begin again with it. */
  async #otherDatabase(again: boolean): Promise<Outcome> {
    if (!again) return outcome(stoppedBy('server'))
    this.#greeted = false
    return this.#round(false)
  }

  async #othersWait(me: Me): Promise<Halt | null> {
    const { waiting, byStaff } = await this.#outbox.unsent()
    return waiting > (byStaff[me.staff.id] ?? 0) ? stoppedBy('other-person') : null
  }
}

/** What sends photos is fetched when there is one; null where it is not on this phone yet. */
async function sender(): Promise<typeof import('../photos/sending.ts').sendPhotos | null> {
  try {
    return (await import('../photos/sending.ts')).sendPhotos
  } catch (error) {
    // What every browser throws for a file of the app that cannot be fetched.
    if (error instanceof TypeError) return null
    throw error
  }
}

/** The last place in the line that is taken; 0 where it is empty. */
async function lastPlace(tx: Read): Promise<number> {
  return (await tx.objectStore('outbox').openKeyCursor(null, 'prev'))?.key ?? 0
}

function stoppedBy(paused: Paused): Halt {
  return { ok: false, paused, problem: null, epoch: null }
}

const SIGNED_OUT = stoppedBy('signed-out')
const NOT_HELD = stoppedBy('not-held')

/** There is no use in asking for more in this round. */
const UNREACHABLE: ReadonlySet<Paused> = new Set(['offline', 'not-ours', 'signed-out', 'not-held'])

function isMe(found: Me | Halt): found is Me {
  return 'staff' in found
}

function outcome(halt: Halt | null): Outcome {
  return { paused: halt?.paused ?? null, problem: halt?.problem ?? null }
}
