import { describe, expect, it } from 'vitest'
import {
  answerLost, badGateway, json, offline, otherServer, problem, signInPage, signedOut, truncated,
} from './fake-server.ts'
import { begin, check, glue, phoneOn, PIECE } from './trial.ts'

describe('sending', () => {
  it('delivers everything once, in the order it was saved', async () => {
    const { server, phone } = await begin()
    const saved = [...(await phone.save(glue())), ...(await phone.save(check())), ...(await phone.save(check()))]
    expect(await phone.round()).toEqual({ paused: null, problem: null })
    expect(server.log.map((entry) => entry.record)).toEqual(saved)
    expect(await phone.outbox.waiting()).toEqual([])
    expect((await phone.piece(PIECE))?.records.map((one) => one.sent)).toEqual(['sent', 'sent', 'sent'])
  })

  it('sends no more than 500 records at a time', async () => {
    const { server, phone } = await begin()
    await phone.save(...Array.from({ length: 1203 }, () => check()))
    await phone.round()
    expect(server.pushes.map((push) => push.records.length)).toEqual([500, 500, 203])
    expect(server.log).toHaveLength(1203)
  })

  it('sends no more than a mebibyte at a time', async () => {
    const { server, phone } = await begin()
    const note = { kind: 'note', subject: { kind: 'piece', id: PIECE }, body: { text: 'ü'.repeat(2000) } } as const
    await phone.save(...Array.from({ length: 300 }, () => note))
    await phone.round()
    const sizes = server.pushes.map((push) => new TextEncoder().encode(JSON.stringify(push)).length)
    expect(sizes.length).toBeGreaterThan(1)
    expect(Math.max(...sizes)).toBeLessThanOrEqual(1024 * 1024)
    expect(server.log).toHaveLength(300)
  })

  it('stores a record once though every answer is lost, until one gets through', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    await phone.round()
    await phone.save(check())
    server.faults.push(answerLost, answerLost, answerLost)
    for (let round = 0; round < 3; round += 1) {
      expect((await phone.round()).paused).toBe('offline')
      expect((await phone.outbox.unsent()).waiting).toBe(1)
    }
    await phone.round()
    expect(server.log).toHaveLength(3)
    expect(server.pushes).toHaveLength(5)
    expect(await phone.outbox.waiting()).toEqual([])
  })

  it('takes the time that the server has corrected', async () => {
    const { server, phone } = await begin()
    server.skew = 2 * 86_400_000
    await phone.save(glue(), check())
    expect((await phone.piece(PIECE))?.state.begun?.day).toBe('2026-03-01')
    await phone.round()
    expect((await phone.piece(PIECE))?.state.begun?.day).toBe('2026-02-27')
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
  })

  it('sends again what the server lacks though it was thought to be there', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    await phone.round()
    server.log = server.log.slice(0, 1)
    server.missing = [2]
    await phone.save(check())
    await phone.round()
    server.missing = []
    await phone.round()
    expect(server.log.map((entry) => entry.record.device_seq)).toEqual([1, 3, 2])
  })
})

describe('an answer that is not our server’s', () => {
  it.each([
    ['no network', offline, 'offline'],
    ['a sign-in page of the network', signInPage, 'not-ours'],
    ['a proxy’s error page', badGateway, 'not-ours'],
    ['half an answer', truncated, 'not-ours'],
    ['a redirect', () => new Response(null, { status: 302 }), 'not-ours'],
    ['an answer of another database', otherServer, 'not-ours'],
    ['no session any more', signedOut, 'signed-out'],
    ['JSON that says nothing', () => json(null), 'not-ours'],
    ['a server that is overloaded', () => json(problem('slow-down', 429), 429), 'server'],
  ])('leaves the outbox as it is: %s', async (_, fault, paused) => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    await phone.round()
    const saved = await phone.save(check(), check())
    server.fault = fault
    expect((await phone.round()).paused).toBe(paused)
    const kept = await phone.outbox.waiting()
    expect(kept.map((one) => [one.record, one.state])).toEqual(saved.map((record) => [record, 'waiting']))
    server.fault = null
    expect((await phone.round()).paused).toBeNull()
    expect(server.log).toHaveLength(4)
  })
})

describe('a record the server will not have', () => {
  it.each([0, 1, 49, 98, 99])('never holds up its neighbours: at place %i of 100', async (place) => {
    const { server, phone } = await begin()
    const saved = await phone.save(...Array.from({ length: 100 }, () => check()))
    const poison = saved[place]
    server.refuse.add(poison?.id ?? '')
    await phone.round()
    expect(server.pushes).toHaveLength(1)
    expect(server.log).toHaveLength(99)
    const kept = await phone.outbox.waiting()
    expect(kept).toMatchObject([{ record: poison, state: 'refused', problem: { code: 'bad-record' } }])
    await phone.round()
    expect(server.pushes).toHaveLength(1)
  })

  it('counts for nothing, and counts again when it is sent again and taken', async () => {
    const { server, phone } = await begin()
    const [, checked] = await phone.save(glue(), check())
    const poison = checked?.id ?? ''
    server.refuse.add(poison)
    await phone.round()
    expect((await phone.piece(PIECE))?.state.checks).toBe(0)
    expect((await phone.piece(PIECE))?.records.map((one) => one.sent)).toEqual(['sent', 'refused'])
    server.refuse.clear()
    await phone.outbox.retry(poison)
    await phone.round()
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
    expect((await phone.piece(PIECE))?.state.checks).toBe(1)
  })

  it('leaves standing what a refused retraction would have taken back', async () => {
    const { server, phone } = await begin()
    const [, checked] = await phone.save(glue(), check())
    const [retraction] = await phone.outbox.retract([checked?.id ?? ''], 'why not', { staff: 'staff.ada', device: 'device.one' })
    server.refuse.add(retraction?.id ?? '')
    expect((await phone.piece(PIECE))?.state.checks).toBe(0)
    await phone.round()
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
  })

  it.each([
    [400, 'bad-batch'],
    [413, 'too-large'],
  ])('is found out and set aside where it spoils its whole batch: %i', async (status, code) => {
    const { server, phone } = await begin()
    const saved = await phone.save(...Array.from({ length: 9 }, () => check()))
    const poison = saved[5]?.id
    server.fault = ({ body }, answer) =>
      body?.records.some((record) => record.id === poison) ? json(problem(code, status), status) : answer()
    await phone.round()
    expect(server.log).toHaveLength(8)
    expect(await phone.outbox.waiting()).toMatchObject([{ record: { id: poison }, state: 'refused', problem: { code } }])
  })

  it('keeps its place where it breaks the server, and the others go', async () => {
    const { server, phone } = await begin()
    const saved = await phone.save(...Array.from({ length: 9 }, () => check()))
    const poison = saved[2]?.id
    server.fault = ({ body }, answer) =>
      body?.records.some((record) => record.id === poison) ? json(problem('broken', 500), 500) : answer()
    expect((await phone.round()).paused).toBe('server')
    expect(server.log).toHaveLength(8)
    expect(await phone.outbox.waiting()).toMatchObject([{ record: { id: poison }, state: 'waiting' }])
  })

  it('is not asked for record by record while the server is broken altogether', async () => {
    const { server, phone } = await begin()
    await phone.save(...Array.from({ length: 100 }, () => check()))
    server.fault = ({ path }, answer) => (path.endsWith('push') ? json(problem('broken', 500), 500) : answer())
    await phone.round()
    expect(server.pushes.length).toBeLessThan(20)
    expect((await phone.outbox.unsent()).waiting).toBe(100)
  })
})

describe('people and devices', () => {
  it('keeps what another person recorded, under that name, until that person is back', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    server.me = server.person('staff.bo', 'device.one')
    await phone.signIn(server.me)
    await phone.save(check())
    expect((await phone.round()).paused).toBe('other-person')
    expect(server.log.map((entry) => entry.record.staff)).toEqual(['staff.bo'])
    expect((await phone.outbox.unsent()).byStaff).toEqual({ 'staff.ada': 2 })
    server.me = server.person('staff.ada', 'device.one')
    await phone.signIn(server.me)
    expect((await phone.round()).paused).toBeNull()
    expect(server.log.map((entry) => entry.record.staff)).toEqual(['staff.bo', 'staff.ada', 'staff.ada'])
  })

  it('keeps 500 records through a session that ended halfway', async () => {
    const { server, phone } = await begin()
    await phone.save(...Array.from({ length: 750 }, () => check()))
    server.faults.push((_, answer) => answer(), (_, answer) => answer())
    server.fault = signedOut
    expect((await phone.round()).paused).toBe('signed-out')
    expect((await phone.outbox.unsent()).waiting).toBe(250)
    server.fault = null
    await phone.round()
    expect(server.log).toHaveLength(750)
  })

  it('hands over what an earlier pairing left, and what was recorded under this one', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    server.me = server.person('staff.ada', 'device.two')
    await phone.signIn(server.me)
    await phone.save(check())
    const outcome = await phone.round()
    expect([outcome.paused, outcome.problem]).toEqual([null, null])
    expect(server.log.map((entry) => entry.record.device)).toEqual(['device.two'])
    expect(server.held.map((record) => record.device)).toEqual(['device.one'])
    expect((await phone.outbox.unsent()).waiting).toBe(0)
  })

  it('asks nothing of the server while nobody is signed in', async () => {
    const { server } = await begin()
    server.me = null
    const phone = await phoneOn(server)
    server.fault = () => {
      throw new Error('asked')
    }
    expect((await phone.round()).paused).toBe('signed-out')
  })
})
