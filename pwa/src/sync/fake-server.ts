/**
 * A server in memory for tests: one log, each record once, pages by seq, and every fault that a
 * network has. Only tests import this.
 */
import { isKnown, type SequencedEntry, type WireRecord } from '../records/kinds.ts'
import { FakePhotos } from '../photos/fake-photos.ts'
import { fold } from '../stock/fold.ts'
import type { PieceState } from '../stock/state.ts'
import type { Me, Paired, Problem } from './views.ts'

interface Body {
  readonly device: string
  readonly records: readonly WireRecord[]
}
type Fault = (request: { path: string; body: Body | null }, answer: () => Response) => Response | Promise<Response>

export function problem(code: string, status: number): Problem {
  return { type: `/problems/${code}`, title: code, status, detail: `${code}.`, code }
}

export function json(body: unknown, status = 200): Response {
  return new Response(JSON.stringify(body), { status })
}

export class FakeServer {
  epoch = 'a'.repeat(32)
  log: SequencedEntry[] = []
  /** Ids of records to refuse. */
  readonly refuse = new Set<string>()
  /** Pieces whose records are left out of pages, their states being sent instead. */
  readonly closed = new Set<string>()
  /** What the device's clock is ahead of ours. */
  skew = 0
  page = 2000
  me: Me | null
  /** What is told instead of `me`, for a shared phone that nobody holds. */
  paired: Paired | null = null
  /** Every push of records that came, whatever became of it. */
  readonly pushes: Body[] = []
  /** Taken one a request, first come first served; then all is well again. */
  readonly faults: Fault[] = []
  readonly photos = new FakePhotos(this, json, problem)
  /** Stays until it is taken away. */
  fault: Fault | null = null

  constructor(staff = 'staff.ada', device = 'device.one') {
    this.me = this.person(staff, device)
  }

  person(staff: string, device: string): Me {
    return {
      epoch: this.epoch,
      staff: { id: staff, name: staff, role: 'keeper' },
      device: { id: device, name: device },
      version: '1',
      demo: false,
    }
  }

  readonly fetch = async (path: string, init: RequestInit = {}): Promise<Response> => {
    const body = typeof init.body === 'string' ? (JSON.parse(init.body) as Body) : null
    if (path === '/api/sync/push' && body?.records.length) this.pushes.push(body)
    const fault = this.faults.shift() ?? this.fault
    const answer = () => this.answer(path, body, init)
    return fault ? fault({ path, body }, answer) : answer()
  }

  answer(path: string, body: Body | null, init: RequestInit = {}): Response {
    if (!this.me) return json(problem('signed-out', 401), 401)
    const url = new URL(path, 'https://farm.example')
    if (url.pathname === '/api/me') return json({ ...(this.paired ?? this.me), epoch: this.epoch })
    if (this.paired) return json(problem('not-held', 401), 401)
    if (url.pathname === '/api/sync/push' && body) return this.take(body, this.me.device.id)
    if (url.pathname.startsWith('/api/photos/')) return this.photos.answer(url.pathname, init)
    return this.give(url.searchParams.get('after'))
  }

  take({ device, records }: Body, own: string): Response {
    if (records.length > 500) return json(problem('too-many', 413), 413)
    const answers = records.map((record, index) => ({ index, id: record.id, notes: [], ...this.judge(record, own) }))
    const seqs = this.log.map((entry) => entry.record).filter((record) => record.device === device)
    const highest = Math.max(0, ...seqs.map((record) => record.device_seq))
    return json({
      epoch: this.epoch,
      now: '2026-03-01T00:00:00.000Z',
      skew_ms: this.skew,
      answers,
      device_seq: { highest, missing: this.missing },
    })
  }

  missing: number[] = []
  /** Made on another device than the one that sent them: for a lead to decide on. */
  readonly held: WireRecord[] = []

  private judge(record: WireRecord, own: string) {
    if (record.device !== own) {
      this.held.push(record)
      return { answer: 'later', seq: null, at: null, problem: null }
    }
    if (this.refuse.has(record.id)) {
      return { answer: 'refused', seq: null, at: null, problem: problem('bad-record', 422) }
    }
    const known = this.log.find((entry) => entry.record.id === record.id)
    if (known) return { answer: 'duplicate', seq: known.seq, at: known.at, problem: null }
    const at = Date.parse(record.observed.at) - this.skew
    const entry = { seq: this.log.length + 1, at, record }
    this.log.push(entry)
    return { answer: 'stored', seq: entry.seq, at, problem: null }
  }

  private give(after: string | null): Response {
    const [epoch = this.epoch, seq = '0'] = after?.split('.') ?? []
    if (epoch === 'wrong') return json(problem('wrong-cursor', 400), 400)
    if (epoch !== this.epoch) return json(problem('other-epoch', 410), 410)
    const rows = this.log.filter((entry) => entry.seq > Number(seq)).slice(0, this.page)
    const piece = (row: SequencedEntry) => (row.record.subject.kind === 'piece' ? row.record.subject.id : '')
    const states = new Set(rows.map(piece).filter((id) => this.closed.has(id)))
    return json({
      epoch: this.epoch,
      cursor: `${this.epoch}.${rows.at(-1)?.seq ?? Number(seq)}`,
      more: rows.length === this.page,
      entries: rows.filter((row) => !this.closed.has(piece(row))),
      pieces: [...states].map((id) => this.state(id)),
    })
  }

  /** The state of a piece out of the whole log, mothers' cuts left out. */
  state(id: string): PieceState {
    const records = this.log.filter(({ record }) => isKnown(record))
    const retracted = records.filter(({ record }) => record.kind === 'retract').map((e) => e.record.subject.id)
    const own = records.filter(({ record }) => record.subject.kind === 'piece' && record.subject.id === id)
    return fold(id, own, new Set(retracted), 'UTC')
  }
}

export const offline: Fault = () => Promise.reject(new TypeError('fetch failed'))
/** The server takes it all, and the answer is lost on the way back. */
export const answerLost: Fault = (_, answer) => {
  answer()
  return Promise.reject(new TypeError('fetch failed'))
}
export const signInPage: Fault = () => new Response('<html>Welcome to our network', { status: 200 })
export const badGateway: Fault = () => new Response('<html>502', { status: 502 })
export const truncated: Fault = async (_, answer) => {
  const text = await answer().text()
  return new Response(text.slice(0, text.length / 2))
}
export const otherServer: Fault = () => json({ epoch: 'b'.repeat(32), answers: [], entries: [], pieces: [], cursor: 'x', more: false })
export const signedOut: Fault = () => json(problem('signed-out', 401), 401)
