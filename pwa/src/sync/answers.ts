/**
 * Asking the server. An answer counts only if it is JSON that carries our database's epoch: a
 * network that wants people to sign in answers 200 to everything, and a proxy has its own pages.
 */
import type { Paused, Problem } from './views.ts'

export type Fetch = (path: string, init?: RequestInit) => Promise<Response>

export const PATIENCE_MS = 30_000

/** Why an answer decides nothing. `epoch` is that of another database than ours, if one answered. */
export interface Halt {
  readonly ok: false
  readonly paused: Paused
  readonly problem: Problem | null
  readonly epoch: string | null
}
export type Answer<T> = { readonly ok: true; readonly body: T } | Halt

/**
 * Ask, waiting 30 seconds at most for the whole answer. `epoch` is our database's, or null where
 * the answer is what tells it. Network failures are answers here too, never exceptions.
 */
export async function ask<T extends { readonly epoch: string }>(
  fetch: Fetch,
  path: string,
  init: RequestInit,
  epoch: string | null,
): Promise<Answer<T>> {
  const got = await text(fetch, path, init)
  if (got === null) return failed('offline')
  const body = parse(got.text)
  if (got.ok) {
    if (!isObject(body) || typeof body['epoch'] !== 'string') return failed('not-ours')
    if (epoch !== null && body['epoch'] !== epoch) return failed('server', null, body['epoch'])
    return { ok: true, body: body as unknown as T }
  }
  return isProblem(body) ? failed(reason(got.status, body.code), body) : failed('not-ours')
}

interface Got {
  readonly ok: boolean
  readonly status: number
  readonly text: string
}

/** POST headers and body for JSON. */
export function posting(body: string): RequestInit {
  return { method: 'POST', headers: { 'Content-Type': 'application/json' }, body }
}

/** Whether the answer says that the server's database is another one than the phone's. */
export function isOtherDatabase(halt: Halt): boolean {
  return halt.epoch !== null || halt.problem?.code === 'other-epoch'
}

async function text(fetch: Fetch, path: string, init: RequestInit): Promise<Got | null> {
  try {
    const response = await fetch(path, {
      ...init,
      credentials: 'same-origin',
      cache: 'no-store',
      // A redirect is never ours; followed, it would end on somebody's page.
      redirect: 'manual',
      signal: AbortSignal.timeout(PATIENCE_MS),
    })
    return { ok: response.ok, status: response.status, text: await response.text() }
  } catch (error) {
    // What fetch throws: TypeError for a network that fails, DOMException where we gave up.
    if (error instanceof TypeError || error instanceof DOMException) return null
    throw error
  }
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch (error) {
    if (error instanceof SyntaxError) return undefined
    throw error
  }
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

export function isProblem(value: unknown): value is Problem {
  return (
    isObject(value) &&
    typeof value['code'] === 'string' &&
    typeof value['title'] === 'string' &&
    value['type'] === `/problems/${value['code']}`
  )
}

function reason(status: number, code: string): Paused {
  if (status === 401) return code === 'not-held' ? 'not-held' : 'signed-out'
  return status === 403 ? 'not-allowed' : 'server'
}

function failed(paused: Paused, problem: Problem | null = null, epoch: string | null = null): Halt {
  return { ok: false, paused, problem, epoch }
}
