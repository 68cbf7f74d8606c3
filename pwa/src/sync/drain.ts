/**
 * One round of talking to the server: send what waits, fetch what is new. Rounds of several tabs
 * are kept apart by a lock where the browser has one; nothing goes wrong without it, since records
 * are taken once and pages apply as often as they come.
 */
import { isOtherDatabase, type Fetch, type Halt } from './answers.ts'
import type { Database } from './database.ts'
import { adopt, askMe } from './epoch.ts'
import { Joined } from './joined.ts'
import { getMeta } from './meta.ts'
import type { Outbox } from './outbox.ts'
import { pull } from './pull.ts'
import { push } from './push.ts'
import type { Me, Paused, Problem } from './views.ts'

export interface Outcome {
  readonly paused: Paused | null
  readonly problem: Problem | null
  /** What the server said about single records it took. */
  readonly notes: readonly string[]
}

const LOCK = 'nubbin-drain'
/** A tab that is frozen while it holds the lock must not silence the others for ever. */
const LOCK_PATIENCE_MS = 120_000

export class Drain {
  readonly #db: Database
  readonly #outbox: Outbox
  readonly #fetch: Fetch
  readonly #locks: LockManager | null
  readonly #rounds = new Joined(() => this.#locked())
  #greeted = false

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
    if (!isMe(me)) return outcome(me)
    const { halt, notes } = await push(this.#db, this.#outbox, this.#fetch, me)
    if (halt && isOtherDatabase(halt)) return this.#otherDatabase(again)
    if (halt && UNREACHABLE.has(halt.paused)) return outcome(halt, notes)
    const stopped = await pull(this.#db, this.#fetch, me.epoch)
    if (stopped && isOtherDatabase(stopped)) return this.#otherDatabase(again)
    const found = stopped ?? halt ?? (await this.#othersWait(me))
    return outcome(found, notes)
  }

  /** Who is at this phone. Once a run the server is asked too: the role or the name may be new. */
  async #me(): Promise<Me | Halt> {
    const known = await this.#db.read((tx) => getMeta(tx, 'me'))
    if (!known) return SIGNED_OUT
    if (this.#greeted) return known
    const answer = await askMe(this.#fetch)
    if (!answer.ok) return answer
    if (answer.body.staff.id !== known.staff.id || answer.body.device.id !== known.device.id) return SIGNED_OUT
    await adopt(this.#db, answer.body)
    this.#greeted = true
    return answer.body
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

function stoppedBy(paused: Paused): Halt {
  return { ok: false, paused, problem: null, epoch: null }
}

const SIGNED_OUT = stoppedBy('signed-out')

/** There is no use in asking for more in this round. */
const UNREACHABLE: ReadonlySet<Paused> = new Set(['offline', 'not-ours', 'signed-out'])

function isMe(found: Me | Halt): found is Me {
  return 'staff' in found
}

function outcome(halt: Halt | null, notes: readonly string[] = []): Outcome {
  return { paused: halt?.paused ?? null, problem: halt?.problem ?? null, notes }
}
