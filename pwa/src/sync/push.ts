/**
 * Sending. Records go in the order they were saved, each at most once a round; only the server's
 * own answer takes a record out of the line, and one it refuses never holds up those behind it.
 */
import { ask, isOtherDatabase, posting, type Answer, type Fetch, type Halt } from './answers.ts'
import { halves, Load, nextBatch, type Batch } from './batches.ts'
import type { Database } from './database.ts'
import type { Outbox } from './outbox.ts'
import { countTry, setAside, settle, type PushReply } from './settle.ts'
import type { Me } from './views.ts'

/** Records in a row that may each break the server before the round gives up. */
const STRIKES = 3

/** Send all of one person's. Why it ended early, or why something was passed over; null if all was answered. */
export function push(db: Database, outbox: Outbox, fetch: Fetch, me: Me, load = new Load()): Promise<Halt | null> {
  return new Round(db, outbox, fetch, me, load).run()
}

class Round {
  readonly #db: Database
  readonly #outbox: Outbox
  readonly #fetch: Fetch
  readonly #me: Me
  readonly #load: Load
  #passedOver: Halt | null = null
  #strikes = 0
  readonly #resent = new Set<string>()

  constructor(db: Database, outbox: Outbox, fetch: Fetch, me: Me, load: Load) {
    this.#db = db
    this.#outbox = outbox
    this.#fetch = fetch
    this.#me = me
    this.#load = load
  }

  async run(): Promise<Halt | null> {
    let place = 0
    for (;;) {
      const batch = await nextBatch(this.#db, this.#me.staff.id, place, this.#load.most)
      if (!batch) return this.#passedOver
      place = batch.last
      const halt = await this.#send(batch)
      if (halt) return halt
    }
  }

  async #send(batch: Batch): Promise<Halt | null> {
    if (batch.sending.length === 0) return null
    const init = posting(body(batch, this.#outbox))
    const answer: Answer<PushReply> = await ask(this.#fetch, '/api/sync/push', init, this.#me.epoch)
    if (answer.ok) return this.#answered(batch, answer.body)
    if (!blames(answer)) {
      if (answer.paused === 'offline') this.#load.failed(batch.sending.length)
      if (!isOtherDatabase(answer)) await countTry(this.#db, batch.sending)
      return answer
    }
    if (batch.sending.length === 1) return this.#spoilt(batch, answer)
    for (const half of halves(batch)) {
      const halt = await this.#send(half)
      if (halt) return halt
    }
    return null
  }

  async #answered(batch: Batch, reply: PushReply): Promise<Halt | null> {
    if (!isReply(reply)) return { ok: false, paused: 'server', problem: null, epoch: null }
    this.#strikes = 0
    this.#load.went()
    await settle(this.#db, batch, reply, this.#resent)
    return null
  }

  /** One record that the server cannot take: shown where it is to blame, else left for later. */
  async #spoilt(batch: Batch, halt: Halt): Promise<Halt | null> {
    if (halt.problem?.status !== 500) {
      await setAside(this.#db, batch.sending, halt.problem)
      return null
    }
    await countTry(this.#db, batch.sending)
    this.#passedOver = halt
    this.#strikes += 1
    return this.#strikes < STRIKES ? null : halt
  }
}

/** Something in the batch may be what the server cannot take: too large, misshapen, or a fault. */
function blames({ problem }: Halt): boolean {
  return problem?.status === 400 || problem?.status === 413 || problem?.code === 'broken'
}

function isReply({ answers, device_seq }: PushReply): boolean {
  return Array.isArray(answers) && Array.isArray(device_seq?.missing)
}

function body(batch: Batch, outbox: Outbox): string {
  const records = batch.sending.map((one) => one.text).join(',')
  return `{"device":${JSON.stringify(batch.device)},"sent":${JSON.stringify(outbox.sent())},"records":[${records}]}`
}

