/**
 * Phones without screens, for tests of the server: the real outbox, rounds and fold over a database
 * in memory, against a real server. Needs a Node that reads TypeScript (22.18 or newer).
 *
 *   node src/sync/harness.ts http://127.0.0.1:8000
 *
 * One JSON object a line on standard input, one on standard output for each, in order:
 *   {"do": …, "phone": "a", …}  ->  {"ok": true, …}  or  {"ok": false, "error": name, "message": …}
 * `phone` names one of any number of phones ("a" if left out); it is there once it is named.
 *
 *   claim    token, device_name?, device?    sign in by a link             -> me
 *   sign-in  me?, cookie?                    be this Me, or whom the server says -> me
 *   leave                                    nobody is at this phone       -> {}
 *   save     drafts: [{kind, subject, body}] record, all or none           -> records
 *   retract  records: [id], why?             take back                     -> records
 *   retry    record                          put a refused one in the line again
 *   drain                                    one round: push, then pull    -> paused, problem, notes
 *   pull                                     fetch only                    -> paused, problem
 *   state    piece                           -> state (or null), number, records: [{id, kind, sent, retracted}]
 *   states                                   -> states: all, by id
 *   records                                  -> records: [{id, seq, at}] of the log that are here
 *   outbox                                   -> waiting: [{record, state, problem, saved_at, tries}]
 *   clock    ahead_ms, past_ms?, zone?       the clock is wrong by ahead_ms; with past_ms the phone
 *                                            lives, clock and tick, that long before this machine
 *   fault    what, times?, skip?             what becomes of the next requests: offline, answer-lost,
 *                                            html, truncated; after `skip` that go well
 *   restart                                  close the app and open it on the same storage
 *   forget                                   close the app and clear its storage
 *   id       count?                          -> id: a new UUIDv7, ids: so many
 *   together commands: [{do, phone, …}]      begin all at once             -> results, in order
 *   use      module, name, …                 call a function of another file with the handset
 */
import 'fake-indexeddb/auto'
import { createInterface } from 'node:readline'
import { pathToFileURL } from 'node:url'
import { deleteDB } from 'idb'
import { thisDevice, type Device } from '../records/make.ts'
import { posting, type Fetch } from './answers.ts'
import { BarePhone } from './bare-phone.ts'
import { askMe, leave } from './epoch.ts'
import { PhoneError } from './errors.ts'
import { getMeta } from './meta.ts'
import { pull } from './pull.ts'
import type { AnyDraft, Me } from './views.ts'

type Command = { readonly do: string; readonly phone?: string } & Record<string, unknown>
type Result = Record<string, unknown>
type What = 'offline' | 'answer-lost' | 'html' | 'truncated'

/** One phone: its storage, its clock, its cookies, and the network between it and the server. */
export class Handset {
  readonly name: string
  /** How the phone reaches the server. A test may put something of its own in between. */
  fetch: Fetch
  #phone: BarePhone
  ahead = 0
  past = 0
  zone: string | null = null
  cookie = ''
  faults: (What | null)[] = []

  constructor(name: string, fetch: Fetch) {
    this.name = `handset-${name}`
    this.fetch = fetch
    this.#phone = this.#open()
  }

  get phone(): BarePhone {
    return this.#phone
  }

  async restart(): Promise<void> {
    await this.#phone.db.close()
    this.#phone = this.#open()
  }

  async forget(): Promise<void> {
    await this.#phone.db.close()
    await deleteDB(this.name)
  }

  readonly request: Fetch = async (path, init) => {
    const fault = this.faults.shift() ?? null
    if (fault === 'offline') throw new TypeError('no network')
    if (fault === 'html') return new Response('<html>Welcome to our network')
    const headers = { ...(init?.headers as Record<string, string>), cookie: this.cookie }
    const response = await this.fetch(path, { ...init, headers })
    const set = response.headers.getSetCookie().map((cookie) => cookie.split(';')[0] ?? '')
    if (set.length > 0) this.cookie = set.join('; ')
    if (fault === null) return response
    const text = await response.text()
    if (fault === 'answer-lost') throw new TypeError('the answer was lost')
    return new Response(text.slice(0, text.length / 2), { status: response.status })
  }

  #open(): BarePhone {
    const device: Device = {
      ...thisDevice,
      now: () => Date.now() + this.ahead - this.past,
      tick: () => TICKING_SINCE_MS + performance.now() - this.past,
      zone: () => this.zone ?? thisDevice.zone(),
      offset: (at) => (this.zone === null ? thisDevice.offset(at) : offsetIn(this.zone, at)),
    }
    return new BarePhone((path, init) => this.request(path, init), this.name, device)
  }
}

/** Long enough ago for a phone that lives in the past to have a tick all the same. */
const TICKING_SINCE_MS = 100 * 86_400_000

/** Minutes east of UTC in a zone at a UTC time, to the whole minute. */
function offsetIn(zone: string, at: number): number {
  const there = new Date(at).toLocaleString('sv-SE', { timeZone: zone })
  return Math.round((Date.parse(`${there.replace(' ', 'T')}Z`) - at) / 60_000)
}

export class Harness {
  readonly #fetch: Fetch
  readonly #handsets = new Map<string, Handset>()

  constructor(fetch: Fetch) {
    this.#fetch = fetch
  }

  async take(command: Command): Promise<Result> {
    if (command.do === 'together') {
      const all = command['commands'] as readonly Command[]
      return { ok: true, results: await Promise.all(all.map((one) => this.take(one))) }
    }
    const work = WORK[command.do]
    if (!work) return { ok: false, error: 'UnknownCommand', message: `There is no command '${command.do}'.` }
    try {
      const result = await work(this.#handset(command.phone ?? 'a'), command)
      if (command.do === 'forget') this.#handsets.delete(command.phone ?? 'a')
      return { ok: true, ...result }
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      return { ok: false, error: error.name, message: error.message }
    }
  }

  #handset(name: string): Handset {
    const handset = this.#handsets.get(name) ?? new Handset(name, this.#fetch)
    this.#handsets.set(name, handset)
    return handset
  }
}

const WORK: Readonly<Record<string, (handset: Handset, command: Command) => Promise<Result>>> = {
  async claim(handset, { token, device_name = 'harness', device }) {
    const response = await handset.request('/api/access/claim', posting(JSON.stringify({ token, device_name, device })))
    const body: unknown = await response.json()
    if (!response.ok) return { ok: false, error: 'Declined', message: JSON.stringify(body) }
    await handset.phone.signIn(body as Me)
    return { me: body }
  },
  async 'sign-in'(handset, { me, cookie }) {
    if (typeof cookie === 'string') handset.cookie = cookie
    const answer = me === undefined ? await askMe(handset.request) : { ok: true as const, body: me as Me }
    if (!answer.ok) return { ok: false, error: 'Declined', message: JSON.stringify(answer) }
    await handset.phone.signIn(answer.body)
    return { me: answer.body }
  },
  async leave({ phone }) {
    await leave(phone.db)
    return {}
  },
  async save({ phone }, { drafts }) {
    return { records: await phone.save(...(drafts as AnyDraft[])) }
  },
  async retract({ phone }, { records, why = 'taken back' }) {
    const drafts = (records as string[]).map((id) => ({ kind: 'retract', subject: { kind: 'record', id }, body: { why } }))
    return { records: await phone.save(...(drafts as AnyDraft[])) }
  },
  async retry({ phone }, { record }) {
    await phone.outbox.retry(record as string)
    return {}
  },
  drain: async ({ phone }) => ({ ...(await phone.round()), notes: await phone.said() }),
  async pull(handset) {
    const epoch = await handset.phone.db.read((tx) => getMeta(tx, 'epoch'))
    const halt = await pull(handset.phone.db, handset.request, epoch ?? '')
    return { paused: halt?.paused ?? null, problem: halt?.problem ?? null }
  },
  async state({ phone }, { piece }) {
    const found = await phone.piece(piece as string)
    const records = found?.records.map(({ record, ...fate }) => ({ ...fate, id: record.id, kind: record.kind }))
    return { state: found?.state ?? null, number: found?.number ?? null, records: records ?? [] }
  },
  async states({ phone }) {
    const rows = await phone.db.read((tx) => tx.objectStore('pieces').getAll())
    return { states: rows.map((row) => row.state) }
  },
  async records({ phone }) {
    const rows = await phone.db.read((tx) => tx.objectStore('records').getAll())
    return { records: rows.filter((row) => row.seq !== null).map(({ id, seq, at }) => ({ id, seq, at })) }
  },
  outbox: async ({ phone }) => ({ waiting: await phone.outbox.waiting() }),
  async clock(handset, { ahead_ms, past_ms = 0, zone = null }) {
    handset.ahead = Number(ahead_ms)
    handset.past = Number(past_ms)
    handset.zone = zone as string | null
    return {}
  },
  async fault(handset, { what, times = 1, skip = 0 }) {
    const well = Array.from({ length: Number(skip) }, () => null)
    handset.faults = [...well, ...Array.from({ length: Number(times) }, () => what as What)]
    return {}
  },
  async restart(handset) {
    await handset.restart()
    return {}
  },
  async forget(handset) {
    await handset.forget()
    return {}
  },
  async id({ phone }, { count = 1 }) {
    const ids = Array.from({ length: Number(count) }, () => phone.outbox.newId())
    return { id: ids[0], ids }
  },
  async use(handset, { module, name, ...more }) {
    const found = (await import(pathToFileURL(module as string).href)) as Record<string, Use>
    const work = found[name as string]
    if (!work) return { ok: false, error: 'UnknownCommand', message: `${module} has no '${name}'.` }
    return (await work(handset, more)) ?? {}
  },
}
type Use = (handset: Handset, more: Record<string, unknown>) => Promise<Result | undefined>

/** Asks the server as a browser on its own page would. */
function fromPage(base: string): Fetch {
  const own = { origin: new URL(base).origin, 'sec-fetch-site': 'same-origin' }
  return (path, init) =>
    fetch(new URL(path, base), { ...init, headers: { ...own, ...(init?.headers as Record<string, string>) } })
}

async function main(base: string): Promise<void> {
  const harness = new Harness(fromPage(base))
  for await (const line of createInterface({ input: process.stdin })) {
    const result = await harness.take(JSON.parse(line) as Command)
    process.stdout.write(`${JSON.stringify(result)}\n`)
  }
}

const [, script, base] = process.argv
if (script && base && import.meta.url === pathToFileURL(script).href) await main(base)
