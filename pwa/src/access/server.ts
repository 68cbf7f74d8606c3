/**
 * Asking our server for what is not a record: signing in, label sheets, the healing report.
 *
 *   ServerError ─┬─ NoAnswer   nothing came back, or too late
 *                ├─ NotOurs    something answered that is not our server (a network's sign-in page)
 *                └─ Declined   our server says no, and why (`problem`)
 */
import type { Problem } from '../sync/views.ts'

export type Fetch = typeof fetch

export class ServerError extends Error {
  override readonly name: string = 'ServerError'
}
export class NoAnswer extends ServerError {
  override readonly name = 'NoAnswer'
}
export class NotOurs extends ServerError {
  override readonly name = 'NotOurs'
}
export class Declined extends ServerError {
  override readonly name = 'Declined'

  constructor(readonly problem: Problem) {
    super(problem.detail)
  }
}

/** Whether the server wants to know first who asks. */
export function wantsSignIn(error: Error): boolean {
  return error instanceof Declined && error.problem.status === 401
}

const PATIENCE_MS = 30_000

function isProblem(value: unknown): value is Problem {
  const found = value as Partial<Problem> | null
  return typeof found?.code === 'string' && typeof found.detail === 'string'
}

function typeOf(response: Response): string {
  return response.headers.get('content-type')?.split(';')[0]?.trim() ?? ''
}

async function readJson(response: Response): Promise<unknown> {
  try {
    return (await response.json()) as unknown
  } catch (error) {
    if (error instanceof SyntaxError) throw new NotOurs('no JSON', { cause: error })
    throw cutOff(error)
  }
}

/**
 * fetch gives TypeError without a network and DOMException when the patience is over, and so does
 * reading the body of an answer that had begun.
 */
function cutOff(error: unknown): unknown {
  const lost = error instanceof TypeError || error instanceof DOMException
  return lost ? new NoAnswer('no answer', { cause: error }) : error
}

async function send(fetcher: Fetch, path: string, body?: unknown): Promise<Response> {
  try {
    return await fetcher(path, {
      method: body === undefined ? 'GET' : 'POST',
      ...(body !== undefined && {
        body: JSON.stringify(body),
        headers: { 'content-type': 'application/json' },
      }),
      signal: AbortSignal.timeout(PATIENCE_MS),
    })
  } catch (error) {
    throw cutOff(error)
  }
}

async function taken(response: Response): Promise<Response> {
  if (response.ok) return response
  const type = typeOf(response)
  const said = type === 'application/problem+json' || type === 'application/json' ? await readJson(response) : null
  if (isProblem(said)) throw new Declined(said)
  throw response.status >= 500 ? new NoAnswer(`status ${response.status}`) : new NotOurs(`status ${response.status}`)
}

/** A JSON answer that `ours` recognises; with `body` it is a POST. */
export async function ask<T>(
  fetcher: Fetch,
  path: string,
  ours: (value: unknown) => value is T,
  body?: unknown,
): Promise<T> {
  const response = await taken(await send(fetcher, path, body))
  const said = await readJson(response)
  if (!ours(said)) throw new NotOurs('another shape')
  return said
}

/** A file of the given media type, whole; anything else is not our server's answer. */
export async function askFile(fetcher: Fetch, path: string, media: string, body: unknown): Promise<Response> {
  const response = await taken(await send(fetcher, path, body))
  if (typeOf(response) !== media) throw new NotOurs(`not ${media}`)
  try {
    return new Response(await response.blob(), { headers: response.headers })
  } catch (error) {
    throw cutOff(error)
  }
}

/** For an answer without a body. */
export async function tell(fetcher: Fetch, path: string, body: unknown): Promise<void> {
  const response = await taken(await send(fetcher, path, body))
  if (response.status !== 204) throw new NotOurs(`status ${response.status}`)
}
