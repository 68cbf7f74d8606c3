import { describe, expect, it } from 'vitest'
import { lastDeviceSeq } from './meta.ts'
import { begin, check, glue, id, PIECE } from './trial.ts'

describe('a server that was put back from a backup', () => {
  it('is sent everything again that was recorded on this phone, and only once each', async () => {
    const { server, phone } = await begin()
    const saved = [...(await phone.save(glue())), ...(await phone.save(check(), check()))]
    await phone.round()
    server.epoch = 'c'.repeat(32)
    server.log = server.log.slice(0, 1)
    saved.push(...(await phone.save(check())))
    expect((await phone.round()).paused).toBeNull()
    // The last one had gone out before the phone knew: its order in the log is no matter.
    const logged = server.log.map((entry) => entry.record).sort((a, b) => a.device_seq - b.device_seq)
    expect(logged).toEqual(saved)
    expect(await phone.outbox.waiting()).toEqual([])
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
    expect(await phone.db.read((tx) => lastDeviceSeq(tx, 'device.one'))).toBe(4)
  })

  it('is fetched from nothing: what it no longer has is gone here too', async () => {
    const { server, phone } = await begin()
    const other = id(0xa009)
    await phone.save(glue())
    await phone.round()
    const record = { ...server.log[0]?.record, id: id(77), device: 'device.two', subject: { kind: 'piece', id: other } }
    server.log.push({ seq: 2, at: 5, record: record as never })
    await phone.round()
    expect(await phone.piece(other)).not.toBeNull()
    server.epoch = 'c'.repeat(32)
    server.log = []
    await phone.round()
    expect(await phone.piece(other)).toBeNull()
    expect((await phone.piece(PIECE))?.state.stage).toBe('healing')
  })

  it('gives a refused record another chance', async () => {
    const { server, phone } = await begin()
    const [glued, checked] = await phone.save(glue(), check())
    server.refuse.add(checked?.id ?? '')
    await phone.round()
    server.refuse.clear()
    server.epoch = 'c'.repeat(32)
    server.log = []
    await phone.round()
    expect(server.log.map((entry) => entry.record)).toEqual([glued, checked])
  })

  it('stops rather than going round for ever where every answer is of another database', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    let turn = 0
    server.fault = (_, answer) => {
      server.epoch = String((turn += 1)).padStart(32, '0')
      return answer()
    }
    await phone.save(check())
    expect((await phone.round()).paused).toBe('server')
    expect((await phone.outbox.waiting()).map((one) => one.record.device_seq)).toEqual([1, 2])
  })
})
