import { describe, expect, it } from 'vitest'
import { FakeServer } from './fake-server.ts'
import { Harness } from './harness.ts'
import { check, glue, PIECE } from './trial.ts'

async function signedIn(): Promise<{ server: FakeServer; harness: Harness }> {
  const server = new FakeServer()
  const harness = new Harness(server.fetch)
  await harness.take({ do: 'sign-in', me: server.me })
  return { server, harness }
}

describe('the harness', () => {
  it('records, sends, fetches and tells the state, phone by phone', async () => {
    const { server, harness } = await signedIn()
    await harness.take({ do: 'sign-in', phone: 'b', me: server.me })
    const saved = await harness.take({ do: 'save', drafts: [glue(), check()] })
    expect(saved).toMatchObject({ ok: true, records: [{ kind: 'glue', device_seq: 1 }, { kind: 'check', device_seq: 2 }] })
    expect(await harness.take({ do: 'outbox' })).toMatchObject({ ok: true, waiting: [{}, {}] })
    expect(await harness.take({ do: 'drain' })).toEqual({ ok: true, paused: null, problem: null, notes: [] })
    expect(await harness.take({ do: 'outbox' })).toEqual({ ok: true, waiting: [] })
    expect(await harness.take({ do: 'pull', phone: 'b' })).toEqual({ ok: true, paused: null, problem: null })
    const told = await harness.take({ do: 'state', phone: 'b', piece: PIECE })
    expect(told).toMatchObject({ ok: true, state: server.state(PIECE), records: [{ kind: 'glue' }, { kind: 'check' }] })
    expect(await harness.take({ do: 'states', phone: 'b' })).toEqual({ ok: true, states: [server.state(PIECE)] })
  })

  it('loses answers, and keeps its storage through a restart', async () => {
    const { server, harness } = await signedIn()
    await harness.take({ do: 'save', drafts: [glue()] })
    await harness.take({ do: 'fault', what: 'answer-lost', skip: 1 })
    expect(await harness.take({ do: 'drain' })).toMatchObject({ ok: true, paused: 'offline' })
    expect(server.log).toHaveLength(1)
    await harness.take({ do: 'restart' })
    expect(await harness.take({ do: 'outbox' })).toMatchObject({ waiting: [{ state: 'waiting', tries: 1 }] })
    expect(await harness.take({ do: 'drain' })).toMatchObject({ ok: true, paused: null })
    expect(server.log).toHaveLength(1)
  })

  it('says what went wrong', async () => {
    const { server } = await signedIn()
    const harness = new Harness(server.fetch)
    expect(await harness.take({ do: 'save', phone: 'nobody', drafts: [check()] })).toMatchObject({ ok: false, error: 'NotSignedIn' })
    expect(await harness.take({ do: 'dance' })).toMatchObject({ ok: false, error: 'UnknownCommand' })
  })
})
