import { describe, expect, it } from 'vitest'
import { rows, saveShots, shot } from '../photos/trial-shots.ts'
import type { WireRecord } from '../records/kinds.ts'
import type { BarePhone } from './bare-phone.ts'
import { BATCH_RECORDS } from './batches.ts'
import { FakeServer, json, problem } from './fake-server.ts'
import { getMeta } from './meta.ts'
import { begin, check, glue, PIECE } from './trial.ts'

const line = async (phone: BarePhone) => (await phone.outbox.waiting()).map(({ record, state }) => [record, state])

describe('a slow line', () => {
  it('takes smaller batches until they go, and larger ones again', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), ...Array.from({ length: 699 }, () => check()))
    let most = 60_000
    server.fault = ({ path, body }, answer) =>
      path.endsWith('push') && JSON.stringify(body).length > most ? Promise.reject(new DOMException('', 'TimeoutError')) : answer()
    const tried = () => server.pushes.splice(0).map((push) => push.records.length)
    expect((await phone.round()).paused).toBe('offline')
    expect((await phone.round()).paused).toBe('offline')
    expect(tried()).toEqual([BATCH_RECORDS, 250])
    // What comes through is not sent again, and the batch that does not ends the round.
    expect((await phone.round()).paused).toBe('offline')
    expect(tried()).toEqual([125, 250])
    most = Infinity
    expect((await phone.round()).paused).toBeNull()
    expect([tried(), server.log.length]).toEqual([[125, 250, 200], 700])
  })
})

describe('a round that brings nothing new', () => {
  it('writes nothing, so that no screen asks anew', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    await phone.round()
    let writes = 0
    const write = phone.db.write.bind(phone.db)
    phone.db.write = (work) => ((writes += 1), write(work))
    await phone.round()
    expect(writes).toBe(0)
    server.log.push({ seq: 2, at: Date.parse('2026-03-02T10:00:00Z'), record: theirs(server, '0190b0c8-7a3e-7000-8000-00000000000b') })
    await phone.round()
    expect([writes, (await phone.piece(PIECE))?.records.length]).toEqual([1, 2])
  })
})

function theirs(server: FakeServer, id: string): WireRecord {
  const first = server.log[0]?.record
  if (!first) throw new Error('the log is empty')
  return { ...first, id, kind: 'check', device: 'device.two', device_seq: 1, body: { mouth: 'none' } } as WireRecord
}

describe('a record whose id another one bears', () => {
  it('stays to be looked at as it is, while the farm’s one counts', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    const [mine] = await phone.save(check(PIECE, { mouth: 'feeding' }))
    if (!mine) throw new Error('nothing was saved')
    const other = theirs(server, mine.id)
    server.log.push({ seq: 2, at: Date.parse(mine.observed.at), record: other })
    const reused: NonNullable<FakeServer['fault']> = ({ path, body }, answer) => {
      if (!path.endsWith('push')) return answer()
      const answers = (body?.records ?? []).map(({ id }, index) => ({ id, index, answer: 'refused', seq: null, at: null, problem: problem('id-reused', 409), notes: [] }))
      return json({ epoch: server.epoch, now: '2026-03-01T10:00:00Z', skew_ms: 0, answers, device_seq: { highest: 2, missing: [] } })
    }
    server.fault = reused
    await phone.round()
    const piece = await phone.piece(PIECE)
    expect(await line(phone)).toEqual([[mine, 'refused']])
    expect(piece?.records.map(({ record }) => record.body)).toEqual([expect.anything(), { mouth: 'none' }])
    expect(piece?.state.mouth).toBe('none')

    // Sent again it is what was made here that is sent, and refused again.
    await phone.outbox.retry(mine.id)
    await phone.round()
    expect(server.pushes.at(-1)?.records).toEqual([mine])
    expect([await line(phone), (await phone.piece(PIECE))?.state.mouth]).toEqual([[[mine, 'refused']], 'none'])
    await phone.outbox.drop([mine.id])
    expect([await line(phone), (await phone.piece(PIECE))?.state.mouth]).toEqual([[], 'none'])
  })
})

describe('a refused record of a photo', () => {
  it('takes the photo with it when it is let go of, but not one that the server has', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    const kept = shot(1000)
    await saveShots(phone, [kept])
    await phone.round()
    const [again] = await saveShots(phone, [kept])
    const [refused] = await saveShots(phone, [shot(2000)])
    if (!again || !refused) throw new Error('nothing was saved')
    server.refuse.add(again.id).add(refused.id)
    await phone.round()
    expect((await rows(phone)).map((row) => row.state).sort()).toEqual(['here', 'kept'])
    await phone.outbox.drop([again.id, refused.id])
    expect((await rows(phone)).map((row) => [row.state, row.records.length])).toEqual([['kept', 1]])
  })
})

describe('sending everything again to another database', () => {
  it('goes by the device’s own count, whatever the clock did to the ids', async () => {
    const { server, phone } = await begin()
    const made = await phone.save(glue(), check(), check())
    await phone.round()
    // The clock was set back between them: the later record's id sorts first.
    await phone.db.write(async (tx) => {
      const row = await tx.objectStore('records').get(made[2]?.id ?? '')
      if (!row) throw new Error('the record is not here')
      await tx.objectStore('records').delete(row.id)
      const id = '00000000-0000-7000-8000-000000000001'
      await tx.objectStore('records').put({ ...row, id, record: { ...row.record, id } })
    })
    server.log = []
    server.epoch = 'b'.repeat(32)
    server.me = server.person('staff.ada', 'device.one')
    await phone.round()
    expect(server.pushes.at(-1)?.records.map((record) => record.device_seq)).toEqual([1, 2, 3])
    expect(await phone.db.read((tx) => getMeta(tx, 'epoch'))).toBe(server.epoch)
  })
})
