import { afterEach, describe, expect, it, vi } from 'vitest'
import { ask, isOtherDatabase, isProblem, PATIENCE_MS, type Fetch } from './answers.ts'
import { json, problem } from './fake-server.ts'

afterEach(() => vi.restoreAllMocks())

const OURS = 'a'.repeat(32)
const answering = (response: Response): Fetch => () => Promise.resolve(response)

describe('asking the server', () => {
  it('waits half a minute at most, then takes it for no network', async () => {
    const patience = new AbortController()
    const timeout = vi.spyOn(AbortSignal, 'timeout').mockReturnValue(patience.signal)
    const silent: Fetch = (_, init) =>
      new Promise((_resolve, reject) => {
        init?.signal?.addEventListener('abort', () => reject(init.signal?.reason as Error))
      })
    const asked = ask(silent, '/api/me', {}, OURS)
    patience.abort(new DOMException('over', 'TimeoutError'))
    expect(await asked).toMatchObject({ ok: false, paused: 'offline' })
    expect(timeout).toHaveBeenCalledWith(PATIENCE_MS)
  })

  it('never follows a redirect, never takes a cached answer', async () => {
    let asked: RequestInit | undefined
    const fetch: Fetch = (_, init) => {
      asked = init
      return Promise.resolve(json({ epoch: OURS }))
    }
    expect(await ask(fetch, '/api/me', {}, OURS)).toEqual({ ok: true, body: { epoch: OURS } })
    expect(asked).toMatchObject({ redirect: 'manual', cache: 'no-store', credentials: 'same-origin' })
  })

  it('tells another database from a server in trouble', async () => {
    const other = await ask(answering(json({ epoch: 'b'.repeat(32) })), '/api/me', {}, OURS)
    const gone = await ask(answering(json(problem('other-epoch', 410), 410)), '/api/me', {}, OURS)
    const busy = await ask(answering(json(problem('slow-down', 429), 429)), '/api/me', {}, OURS)
    expect([other, gone, busy].map((one) => !one.ok && isOtherDatabase(one))).toEqual([true, true, false])
  })

  it('lets a fault of its own through', async () => {
    const broken: Fetch = () => Promise.reject(new RangeError('ours'))
    await expect(ask(broken, '/api/me', {}, OURS)).rejects.toThrow(RangeError)
  })

  it('knows our problems from others’', () => {
    expect(isProblem(problem('signed-out', 401))).toBe(true)
    expect(isProblem({ ...problem('signed-out', 401), type: 'about:blank' })).toBe(false)
    expect(isProblem('401')).toBe(false)
  })
})
