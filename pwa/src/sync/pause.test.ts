import { describe, expect, it } from 'vitest'
import { json, problem } from './fake-server.ts'
import { Drain } from './drain.ts'
import { getMeta } from './meta.ts'
import { begin, check, glue } from './trial.ts'
import type { Me, Paired } from './views.ts'

const shared = (me: Me): Me => ({ ...me, device: { ...me.device, shared: true } })
const nobody = (me: Me): Paired => ({ ...shared(me), staff: null })

describe('a pause', () => {
  it.each([
    [401, 'signed-out', 'signed-out'],
    [401, 'not-held', 'not-held'],
    [403, 'not-allowed', 'not-allowed'],
    [403, 'cross-site', 'not-allowed'],
  ] as const)('after %i %s keeps everything and says why', async (status, code, paused) => {
    const { server, phone } = await begin()
    await phone.round()
    const saved = await phone.save(glue(), check())
    server.fault = ({ path }, answer) => (path.endsWith('/me') ? answer() : json(problem(code, status), status))
    expect(await phone.round()).toEqual({ paused, problem: problem(code, status) })
    expect((await phone.outbox.waiting()).map((one) => [one.record, one.state])).toEqual(
      saved.map((record) => [record, 'waiting']),
    )
    server.fault = null
    expect((await phone.round()).paused).toBeNull()
    expect(server.log.map((entry) => entry.record)).toEqual(saved)
  })
})

describe('a shared phone that nobody holds', () => {
  it('sends nothing, records for nobody, and goes on when its author holds it again', async () => {
    const { server, phone } = await begin()
    const [glued] = await phone.save(glue())
    const ada = server.me
    server.paired = nobody(server.person('staff.ada', 'device.one'))
    expect((await phone.round()).paused).toBe('not-held')
    expect(server.pushes).toEqual([])
    await expect(phone.save(check())).rejects.toThrow('Nobody is signed in')
    expect(await phone.db.read((tx) => getMeta(tx, 'paired'))).toMatchObject({ staff: null, device: { id: 'device.one' } })
    server.paired = null
    if (ada) await phone.signIn(ada)
    expect((await phone.round()).paused).toBeNull()
    expect(server.log.map((entry) => entry.record)).toEqual([glued])
  })

  it('is found out in the middle of a run too, and nobody records under the last name', async () => {
    const { server, phone } = await begin()
    await phone.round()
    const [glued] = await phone.save(glue())
    server.fault = ({ path }, answer) => (path.endsWith('/me') ? answer() : json(problem('not-held', 401), 401))
    server.paired = nobody(server.person('staff.ada', 'device.one'))
    expect((await phone.round()).paused).toBe('not-held')
    expect((await phone.round()).paused).toBe('not-held')
    await expect(phone.save(check())).rejects.toThrow('Nobody is signed in')
    expect((await phone.outbox.waiting()).map((one) => one.record)).toEqual([glued])
  })

  it.each(['staff.ada', null])('believes who holds it from the phone alone: here %s, to the server another', async (before) => {
    const { server, phone } = await begin()
    const [glued] = await phone.save(glue())
    const bo = shared(server.person('staff.bo', 'device.one'))
    if (before === null) {
      server.paired = nobody(bo)
      await phone.round()
    }
    // The answer to taking it in hand was lost; or the server's database was put back.
    server.paired = bo
    const again = new Drain(phone.db, phone.outbox, server.fetch, null)
    for (const _ of [1, 2, 3]) expect((await again.run()).paused).toBe('not-held')
    await expect(phone.save(check())).rejects.toThrow('Nobody is signed in')
    expect((await phone.outbox.waiting()).map((one) => one.record)).toEqual([glued])
    server.paired = null
    server.me = bo
    await phone.signIn(bo)
    expect((await phone.round()).paused).toBe('other-person')
    const [checked] = await phone.save(check())
    expect([checked?.staff, (await phone.outbox.unsent()).byStaff]).toEqual(['staff.bo', { 'staff.ada': 1, 'staff.bo': 1 }])
  })
})

describe('an own phone that the server takes for another person’s', () => {
  it('is signed out, and nothing is handed over as if it were for good', async () => {
    const { server, phone } = await begin()
    const [glued] = await phone.save(glue())
    server.me = server.person('staff.bo', 'device.one')
    expect((await phone.round()).paused).toBe('signed-out')
    expect([server.pushes, (await phone.outbox.waiting()).map((one) => one.record)]).toEqual([[], [glued]])
  })
})
