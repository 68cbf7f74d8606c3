import 'fake-indexeddb/auto'
import { describe, expect, it } from 'vitest'
import { status } from '../shell/status.svelte.ts'
import { FakeServer, offline } from './fake-server.ts'
import { NotSignedIn, Phone, draft } from './phone.svelte.ts'
import { id, PIECE } from './trial.ts'

let count = 0

async function signedIn(): Promise<{ server: FakeServer; phone: Phone }> {
  const server = new FakeServer()
  const phone = new Phone(server.fetch, `phone-${(count += 1)}`)
  await phone.setMe(server.person('staff.ada', 'device.one'))
  await phone.sync()
  return { server, phone }
}

const GLUE = { cut: id(0xc001), base: 'base.hex-40', purpose: 'sale', code: '4JQZKDMN', tray: 'tray.a1', place: 'B7' } as const
const piece = { kind: 'piece', id: PIECE } as const

describe('the phone', () => {
  it('saves with nobody’s network, shows it at once, and sends it when there is one', async () => {
    const { server, phone } = await signedIn()
    server.fault = offline
    const before = phone.version
    await phone.recordAll([draft('glue', piece, GLUE), draft('check', piece, { mouth: 'open' })])
    expect(phone.version).toBeGreaterThan(before)
    expect([status.unsent, status.refused]).toEqual([2, 0])
    expect(status.oldest).not.toBeNull()
    expect(await phone.byCode('4JQZKDMN')).toMatchObject({ id: PIECE, state: { mouth: 'open' } })
    expect(await phone.byPlace('tray.a1', 'B7')).toMatchObject([{ id: PIECE }])
    await phone.sync()
    expect([phone.paused, status.online]).toEqual(['offline', false])
    server.fault = null
    await phone.sync()
    expect([phone.paused, status.online, status.unsent, status.oldest]).toEqual([null, true, 0, null])
    expect(server.log).toHaveLength(2)
  })

  it('takes records back, one or many', async () => {
    const { phone } = await signedIn()
    await phone.record('glue', piece, GLUE)
    const made = [await phone.check(PIECE, { swept: true }), await phone.check(PIECE, { mouth: 'bud' })]
    await phone.undo(made[1]?.id ?? '', 'tapped by mistake')
    expect((await phone.piece(PIECE))?.state).toMatchObject({ mouth: null, swept: 1 })
    await phone.undoAll(made.map((record) => record.id), 'the whole sweep')
    expect((await phone.piece(PIECE))?.state).toMatchObject({ mouth: null, swept: 0 })
  })

  it('holds the lists and settings in memory, and counts days in the farm’s zone', async () => {
    const { phone } = await signedIn()
    await phone.define('tray', 'tray.a1', { name: 'A1', columns: 8, rows: 5 })
    await phone.define('settings', 'settings', { zone: 'Pacific/Kiritimati', wild_number: 1 })
    await phone.record('move', { kind: 'tray', id: 'tray.a1' }, { tank: 'tank.two' })
    expect(phone.item('tray.a1')?.fields).toEqual({ name: 'A1', columns: 8, rows: 5 })
    expect(phone.trays().map(({ id, tank }) => [id, tank])).toEqual([['tray.a1', 'tank.two']])
    expect([phone.zone, phone.settings.wild_number]).toEqual(['Pacific/Kiritimati', 1])
    expect(phone.today()).toMatch(/^\d{4}-\d\d-\d\d$/)
    expect(phone.item('tray.zz')).toBeUndefined()
  })

  it('folds every piece again when the farm’s zone is changed', async () => {
    const { server, phone } = await signedIn()
    server.fault = offline
    await phone.record('glue', piece, GLUE)
    const day = async () => (await phone.piece(PIECE))?.state.begun?.day ?? ''
    const at = (await phone.piece(PIECE))?.state.begun?.at ?? 0
    const days = []
    for (const zone of ['Pacific/Pago_Pago', 'Pacific/Kiritimati']) {
      await phone.define('settings', 'settings', { zone })
      days.push(await day())
    }
    const local = (hours: number) => new Date(at + hours * 3_600_000).toISOString().slice(0, 10)
    expect(days).toEqual([local(-11), local(14)])
  })

  it('whose storage was emptied learns from the server who is at it, and fetches everything', async () => {
    const { server, phone: before } = await signedIn()
    await before.record('glue', piece, GLUE)
    await before.sync()
    const phone = new Phone(server.fetch, `phone-${(count += 1)}`)
    server.fault = offline
    await phone.recognise()
    expect(phone.me).toBeNull()
    server.fault = null
    await phone.recognise()
    await phone.sync()
    expect(phone.me?.staff.id).toBe('staff.ada')
    expect(await phone.byCode('4JQZKDMN')).toMatchObject({ id: PIECE })
  })

  it('stays signed out where the server knows nobody here', async () => {
    const server = new FakeServer()
    server.me = null
    const phone = new Phone(server.fetch, `phone-${(count += 1)}`)
    await phone.recognise()
    expect([phone.me, phone.broken]).toEqual([null, null])
  })

  it('knows which piece a record is about, a retraction too', async () => {
    const { phone } = await signedIn()
    const glued = await phone.record('glue', piece, GLUE)
    const check = await phone.check(PIECE, { mouth: 'bud' })
    const undone = await phone.undo(check.id, 'tapped by mistake')
    const tray = await phone.define('tray', 'tray.a1', { name: 'A1' })
    const about = await phone.about([glued, check, undone, tray].map((one) => one.id))
    expect([...about].map(([record, { id, code }]) => [record, id, code])).toEqual(
      [glued, check, undone].map((one) => [one.id, PIECE, '4JQZKDMN']),
    )
  })

  it('records nothing while nobody is signed in, and keeps what waits', async () => {
    const { server, phone } = await signedIn()
    server.fault = offline
    await phone.record('glue', piece, GLUE)
    await phone.setMe(null)
    await expect(phone.check(PIECE, {})).rejects.toThrow(NotSignedIn)
    expect(phone.device).toBe('device.one')
    expect(await phone.waiting()).toHaveLength(1)
    expect(phone.unsentBy).toEqual({ 'staff.ada': 1 })
  })

  it('puts a refused record back in the line', async () => {
    const { server, phone } = await signedIn()
    server.fault = offline
    const glued = await phone.record('glue', piece, GLUE)
    server.refuse.add(glued.id)
    server.fault = null
    await phone.sync()
    expect([status.unsent, status.refused]).toEqual([0, 1])
    server.refuse.clear()
    await phone.retry(glued.id)
    await phone.sync()
    expect([status.unsent, status.refused]).toEqual([0, 0])
    expect(server.log).toHaveLength(1)
  })
})
