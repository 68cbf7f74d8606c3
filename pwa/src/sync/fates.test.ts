import { describe, expect, it } from 'vitest'
import type { WireRecord } from '../records/kinds.ts'
import { settingsOf } from '../stock/lists.ts'
import type { BarePhone } from './bare-phone.ts'
import { Drain } from './drain.ts'
import { json, type FakeServer } from './fake-server.ts'
import { getMeta } from './meta.ts'
import { begin, check, glue, PIECE } from './trial.ts'
import type { AnyDraft } from './views.ts'

const ZONE: AnyDraft = {
  kind: 'define',
  subject: { kind: 'item', id: 'settings' },
  body: { list: 'settings', fields: { zone: 'Pacific/Auckland' } },
}
const zone = (phone: BarePhone) => phone.db.read(async (tx) => settingsOf(await tx.objectStore('items').get('settings')).zone)
const meta = (phone: BarePhone, key: 'held' | 'notes') => phone.db.read((tx) => getMeta(tx, key))
const mouth = async (phone: BarePhone) => (await phone.piece(PIECE))?.state.mouth ?? null

/** The server holds these kinds, and a lead has set aside what `aside` names. */
function holding(server: FakeServer, kinds: readonly string[], aside: readonly string[] = []): void {
  server.fault = ({ path, body }, answer) => {
    if (path === '/api/sync/fates') return json({ epoch: server.epoch, set_aside: aside })
    const held = (body?.records ?? []).map((record) => kinds.includes(record.kind))
    if (!path.endsWith('push') || !held.includes(true)) return answer()
    const answers = (body?.records ?? []).map(({ id }, index) => ({ id, index, answer: 'later', seq: null, at: null, problem: null, notes: ['Held.'] }))
    return json({ epoch: server.epoch, now: '2026-03-01T10:00:00Z', skew_ms: 0, answers, device_seq: { highest: 1, missing: [] } })
  }
}

/** The next run of the app, which asks again. */
const run = (server: FakeServer, phone: BarePhone) => new Drain(phone.db, phone.outbox, server.fetch, null).run()

function admit(server: FakeServer, record: WireRecord | undefined): void {
  if (!record) throw new Error('nothing was saved')
  server.log.push({ seq: server.log.length + 1, at: Date.parse(record.observed.at), record })
}

describe('a change of a list that waits for a lead', () => {
  it('counts until it is sent, not while it is held, and again once it is admitted', async () => {
    const { server, phone } = await begin()
    const before = await zone(phone)
    const [change] = await phone.save(ZONE)
    expect(await zone(phone)).toBe('Pacific/Auckland')
    holding(server, ['define'])
    expect((await phone.round()).paused).toBeNull()
    expect([await zone(phone), await meta(phone, 'held')]).toEqual([before, [change?.id]])
    admit(server, change)
    await phone.round()
    expect([await zone(phone), await meta(phone, 'held'), await meta(phone, 'notes')]).toEqual(['Pacific/Auckland', undefined, undefined])
  })

  it('taken back counts on as long as the taking back is held', async () => {
    const { server, phone } = await begin()
    const [change] = await phone.save(ZONE)
    await phone.round()
    await phone.outbox.retract([change?.id ?? ''], 'wrong zone', { staff: 'staff.ada', device: 'device.one' })
    const [taken] = (await phone.outbox.waiting()).map((one) => one.record)
    holding(server, ['retract'])
    await phone.round()
    expect(await zone(phone)).toBe('Pacific/Auckland')
    admit(server, taken)
    await phone.round()
    expect(await zone(phone)).not.toBe('Pacific/Auckland')
  })
})

describe('a record that a lead sets aside', () => {
  it('stops counting on the phone that made it, which says so, and counts if it is admitted after all', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    const [checked] = await phone.save(check(PIECE, { mouth: 'open' }))
    holding(server, ['check'])
    await phone.round()
    expect([await mouth(phone), (await meta(phone, 'held'))?.length]).toEqual(['open', 1])
    holding(server, ['check'], [checked?.id ?? ''])
    expect((await run(server, phone)).paused).toBeNull()
    expect([await mouth(phone), await meta(phone, 'held')]).toEqual([null, undefined])
    expect(await meta(phone, 'notes')).toMatchObject([{ record: checked?.id, aside: true, held: false, said: [] }])
    expect((await phone.piece(PIECE))?.records.map((one) => one.sent)).toEqual(['sent', 'refused'])
    admit(server, checked)
    await phone.round()
    expect(await mouth(phone)).toBe('open')
  })

  it('is asked about once a run, and again where the asking failed', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    holding(server, ['check'])
    await phone.round()
    let asked = 0
    server.fault = ({ path }, answer) => {
      if (path !== '/api/sync/fates') return answer()
      asked += 1
      return asked === 1 ? Promise.reject(new TypeError('fetch failed')) : json({ epoch: server.epoch, set_aside: [] })
    }
    const drain = new Drain(phone.db, phone.outbox, server.fetch, null)
    expect([(await drain.run()).paused, (await drain.run()).paused, (await drain.run()).paused]).toEqual(['offline', null, null])
    expect(asked).toBe(2)
  })
})
