import { describe, expect, it } from 'vitest'
import { json, problem, type FakeServer } from './fake-server.ts'
import { begin, check, glue } from './trial.ts'

type Fault = NonNullable<FakeServer['fault']>

/** Signed out for good: nothing is answered but pushes, which are held for a lead. */
function revoked(server: FakeServer): Fault {
  return ({ path, body }) => {
    if (path !== '/api/sync/push' || !body) return json(problem('signed-out', 401), 401)
    const answers = body.records.map(({ id }, index) => ({
      id, index, answer: 'later', seq: null, at: null, problem: null, notes: ['It is held safely until a lead admits it.'],
    }))
    return json({ epoch: server.epoch, now: '2026-03-01T10:00:00Z', skew_ms: 0, answers, device_seq: { highest: 0, missing: [] } })
  }
}

describe('a phone signed out for good', () => {
  it('hands over what waits, whoever recorded it, also after the app was closed', async () => {
    const { server, phone } = await begin()
    const [first] = await phone.save(glue())
    await phone.signIn(server.person('staff.bo', 'device.one'))
    const [second] = await phone.save(check())
    server.fault = revoked(server)
    const { paused, notes } = await phone.round()
    expect([paused, notes.length]).toEqual(['revoked', 2])
    expect(server.pushes.flatMap((push) => push.records.map((record) => record.id))).toEqual([first?.id, second?.id])
    expect((await phone.outbox.unsent()).waiting).toBe(0)
    // Nothing is left, and it is still known that it is for good.
    expect((await phone.round()).paused).toBe('revoked')
  })

  it('in the middle of a run goes on to hand over', async () => {
    const { server, phone } = await begin()
    expect((await phone.round()).paused).toBeNull()
    await phone.save(glue())
    server.fault = revoked(server)
    expect((await phone.round()).paused).toBe('revoked')
    expect((await phone.outbox.unsent()).waiting).toBe(0)
  })

  it('keeps everything where the sign-in is merely over', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    server.fault = () => json(problem('signed-out', 401), 401)
    expect((await phone.round()).paused).toBe('signed-out')
    expect((await phone.outbox.unsent()).waiting).toBe(1)
    server.fault = null
    expect((await phone.round()).paused).toBeNull()
    expect((await phone.outbox.unsent()).waiting).toBe(0)
  })
})
