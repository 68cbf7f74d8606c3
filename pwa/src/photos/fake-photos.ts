/** The photo side of the server in memory. Only tests import this. */
import { createHash } from 'node:crypto'
import type { SequencedEntry } from '../records/kinds.ts'
import type { Problem } from '../sync/views.ts'

interface Server {
  readonly epoch: string
  readonly log: readonly SequencedEntry[]
}
type Reply = (body: unknown, status?: number) => Response

export class FakePhotos {
  readonly #server: Server
  readonly #json: Reply
  readonly #problem: (code: string, status: number) => Problem
  /** What has arrived, by sha256. */
  readonly arrived = new Map<string, Uint8Array>()
  readonly kept = new Set<string>()
  /** What it has refused for good, until it is begun again. */
  readonly refused = new Map<string, Problem>()
  /** By sha256, what the server has against a photo once it is whole. */
  readonly refuse = new Map<string, string>()
  /** Every PATCH that came, in order. */
  readonly patches: { readonly sha256: string; readonly at: number; readonly length: number }[] = []

  constructor(server: Server, json: Reply, problem: (code: string, status: number) => Problem) {
    this.#server = server
    this.#json = json
    this.#problem = problem
  }

  answer(path: string, init: RequestInit): Response {
    const sha256 = path.split('/')[3] ?? ''
    const named = this.#named(sha256)
    if (named === null) return this.#json(this.#problem('unknown-photo', 404), 404)
    if (path.endsWith('/state')) return this.#state(sha256, named)
    const at = Number(new Headers(init.headers).get('Upload-Offset'))
    return this.#take(sha256, at, new Uint8Array(init.body as Uint8Array<ArrayBuffer>), named)
  }

  /** Bytes that arrive without their request ending, as when the line breaks midway. */
  append(sha256: string, chunk: Uint8Array): void {
    const before = this.arrived.get(sha256) ?? new Uint8Array()
    const longer = new Uint8Array(before.length + chunk.length)
    longer.set(before)
    longer.set(chunk, before.length)
    this.arrived.set(sha256, longer)
  }

  /** How many bytes a record says the photo has; null where none in the log names it. */
  #named(sha256: string): number | null {
    for (const { record } of this.#server.log) {
      if (record.kind === 'photo' && record.body['sha256' as never] === sha256) return record.body['bytes' as never]
    }
    return null
  }

  #state(sha256: string, bytes: number): Response {
    const received = this.arrived.get(sha256)?.length ?? 0
    const problem = this.refused.get(sha256) ?? null
    const coming = received > 0 ? 'arriving' : 'wanted'
    const state = this.kept.has(sha256) ? 'kept' : problem ? 'refused' : coming
    return this.#json({ epoch: this.#server.epoch, sha256, received, bytes, state, problem })
  }

  #take(sha256: string, at: number, chunk: Uint8Array, bytes: number): Response {
    this.patches.push({ sha256, at, length: chunk.length })
    const received = this.arrived.get(sha256)?.length ?? 0
    if (this.kept.has(sha256)) return this.#state(sha256, bytes)
    if (at !== received) return this.#json({ ...this.#problem('wrong-offset', 409), received }, 409)
    this.append(sha256, chunk)
    const whole = this.arrived.get(sha256) ?? new Uint8Array()
    if (whole.length < bytes) return this.#state(sha256, bytes)
    const found = hash(whole) === sha256 ? this.refuse.get(sha256) : 'other-hash'
    this.refused.delete(sha256)
    if (found === undefined) {
      this.kept.add(sha256)
      return this.#state(sha256, bytes)
    }
    this.arrived.delete(sha256)
    const problem = this.#problem(found, 422)
    if (found !== 'other-hash') this.refused.set(sha256, problem)
    return this.#json(problem, 422)
  }
}

export function hash(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex')
}
