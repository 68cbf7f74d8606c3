import { describe, expect, it } from 'vitest'
import { json, problem, type FakeServer } from './fake-server.ts'
import { getMeta } from './meta.ts'
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
    expect((await phone.round()).paused).toBe('revoked')
    expect(await phone.db.read((tx) => getMeta(tx, 'notes'))).toHaveLength(2)
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

describe('somebody signed out for good on a shared phone', () => {
  it('leaves what they had not sent to a lead, and what others had to themselves', async () => {
    const { server, phone } = await begin()
    await phone.signIn(server.person('staff.bo', 'device.one'))
    const [others] = await phone.save(glue())
    const ada = server.person('staff.ada', 'device.one')
    await phone.signIn(ada)
    const [own] = await phone.save(check())
    const nobody = { ...ada, staff: null, device: { ...ada.device, shared: true } }
    const held = revoked(server)
    server.fault = (request, answer) =>
      request.path === '/api/me' ? json(nobody) : request.path === '/api/sync/push' ? held(request, answer) : json(problem('not-held', 401), 401)
    // No answer settles nothing: the phone must not forget meanwhile who held it.
    server.faults.push(server.fault, () => Promise.reject(new TypeError('fetch failed')))
    expect((await phone.round()).paused).toBe('offline')
    expect((await phone.round()).paused).toBe('not-held')
    expect(server.pushes.flatMap((push) => push.records.map((record) => record.id))).toEqual([own?.id])
    expect((await phone.outbox.waiting()).map((one) => one.record.id)).toEqual([others?.id])
    await expect(phone.save(check())).rejects.toThrow('Nobody is signed in')
  })

  it('is found out in the middle of a run with nothing to send', async () => {
    const { server, phone } = await begin()
    await phone.round()
    const ada = server.me
    if (!ada) throw new Error('nobody is signed in')
    server.paired = { ...ada, staff: null, device: { ...ada.device, shared: true } }
    expect((await phone.round()).paused).toBe('not-held')
    await phone.round()
    await expect(phone.save(check())).rejects.toThrow('Nobody is signed in')
  })
})

describe('who was signed out for good after laying a shared phone down', () => {
  it('has what was theirs sent by whoever holds it now; who is still of the farm sends it themselves', async () => {
    const { server, phone } = await begin()
    const [ada] = await phone.save(glue())
    await phone.signIn(server.person('staff.cy', 'device.one'))
    const [cy] = await phone.save(check())
    server.me = server.person('staff.bo', 'device.one')
    await phone.signIn(server.me)
    await phone.db.write((tx) =>
      tx.objectStore('meta').put([{ id: 'staff.ada', name: 'Ada', left: true }, { id: 'staff.cy', name: 'Cy' }], 'people'),
    )
    expect((await phone.round()).paused).toBe('other-person')
    expect(server.pushes.flatMap((push) => push.records.map((record) => record.id))).toEqual([ada?.id])
    expect((await phone.outbox.waiting()).map((one) => one.record.id)).toEqual([cy?.id])
  })
})
