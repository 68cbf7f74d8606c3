import { beforeAll, describe, expect, it, vi } from 'vitest'
import { getMeta } from './meta.ts'
import { rows, saveShots, shot } from '../photos/trial-shots.ts'
import { moreWords } from '../words/index.ts'
import type { BarePhone } from './bare-phone.ts'
import { FakeServer, json, offline, problem } from './fake-server.ts'
import { hand } from './handing.ts'
import { fileName, fileParts, fromBase64, readFile, WrongFile, type OutboxFile } from './outbox-file.ts'
import { takeIn } from './take-in.ts'
import { begin, check, glue, phoneOn, PIECE } from './trial.ts'

beforeAll(moreWords)

const text = async (phone: BarePhone) => (await fileParts(phone.db, phone.outbox)).join('')
const read = async (phone: BarePhone) => readFile(await text(phone))

describe('a saved outbox', () => {
  it('holds everybody’s unsent records as they were made, and who saved it', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    const [ada, poison] = await phone.save(check(), check())
    server.refuse.add(poison?.id ?? '')
    server.faults.push((_, answer) => answer())
    await phone.db.write((tx) => tx.objectStore('meta').put(420_000, 'skew'))
    await phone.signIn(server.person('staff.bo', 'device.one'))
    const [bo] = await phone.save(check())
    expect(JSON.parse(await text(phone))).toEqual({
      nubbin: 'outbox', v: 1, epoch: server.epoch, device: { id: 'device.one', name: 'device.one' },
      staff: { id: 'staff.bo', name: 'staff.bo' }, saved_at: expect.stringMatching(/^2026-03-01T10:00:/),
      sent: { at: expect.any(String), session: phone.outbox.session, tick: expect.any(Number) },
      skew_ms: 420_000, records: [ada, poison, bo],
    })
    expect((await phone.outbox.unsent()).waiting).toBe(3)
  })

  it('holds what the server would not take, and is the same after signing out', async () => {
    const { server, phone } = await begin()
    const [glued, poison] = await phone.save(glue(), check())
    server.refuse.add(poison?.id ?? '')
    await phone.round()
    await phone.db.write((tx) => tx.objectStore('meta').delete('me'))
    await phone.db.write((tx) => tx.objectStore('meta').delete('paired'))
    const file = await read(phone)
    expect([file.records, file.staff, file.device]).toEqual([[poison], null, { id: 'device.one', name: 'device.one' }])
    expect(glued?.id).not.toBe(poison?.id)
  })

  it('holds the photos that are only on this phone', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    const [first, second] = [shot(3000, 1), shot(70_000, 2)]
    await saveShots(phone, [first])
    await phone.round()
    server.fault = offline
    await saveShots(phone, [second])
    const file = await read(phone)
    expect(file.photos?.map(({ sha256, bytes, media }) => ({ sha256, bytes, media }))).toEqual([
      { sha256: second.sha256, bytes: 70_000, media: 'image/jpeg' },
    ])
    expect(fromBase64(file.photos?.[0]?.base64 ?? '')).toEqual(new Uint8Array(second.bytes))
  })

  it('has a name that says where it comes from', () => {
    expect(fileName({ name: 'Käte’s phone (shed)' }, '2026-03-01')).toBe('nubbin-outbox-k-te-s-phone-shed-2026-03-01.json')
    expect(fileName({ name: '電話' }, '2026-03-01')).toBe('nubbin-outbox-phone-2026-03-01.json')
  })
})

describe('a file that somebody chose', () => {
  const whole = { nubbin: 'outbox', v: 1, epoch: 'e', device: { id: 'd', name: 'D' }, sent: { at: 'now' }, records: [{}] }
  it.each([
    ['no JSON', 'piece,stage\n4JQZ,ready', 'not a saved outbox'],
    ['some other JSON', '[1, 2]', 'not a saved outbox'],
    ['JSON that is nothing', 'null', 'not a saved outbox'],
    ['half of one', JSON.stringify(whole).slice(0, -20), 'not whole'],
    ['one without its records', JSON.stringify({ ...whole, records: undefined }), 'not whole'],
    ['one with records that are none', JSON.stringify({ ...whole, records: [7] }), 'not whole'],
    ['one with photos that are none', JSON.stringify({ ...whole, photos: [{}] }), 'not whole'],
    ['one of no phone', JSON.stringify({ ...whole, device: {} }), 'not whole'],
    ['an empty one', JSON.stringify({ ...whole, records: [] }), 'nothing in this file'],
    ['one of a newer app', JSON.stringify({ ...whole, v: 2 }), 'newer version'],
  ])('is told from a saved outbox: %s', (_, given, said) => {
    expect(() => readFile(given)).toThrow(WrongFile)
    expect(() => readFile(given)).toThrow(said)
  })
})

/** A lead's phone on a server of the same farm, and what its server was handed. */
async function lead() {
  const server = new FakeServer('staff.lead', 'device.desk')
  const phone = await phoneOn(server)
  const bodies: { device: string; sent: object; records: { id: string }[] }[] = []
  server.fault = ({ path, body }, answer) => {
    if (path !== '/api/sync/take-in') return answer()
    bodies.push(body as never)
    const answers = (body?.records ?? []).map(({ id }, index) => ({ id, index, answer: 'later', seq: null, at: 1, problem: null, notes: [] }))
    return json({ epoch: server.epoch, now: '', skew_ms: 0, answers, device_seq: { highest: 0, missing: [] } })
  }
  const shrink = async () => new Uint8Array([9]).buffer
  const take = (file: OutboxFile) => takeIn({ db: phone.db, fetch: server.fetch, epoch: server.epoch, shrink }, file)
  return { server, phone, bodies, take }
}

describe('taking a saved outbox in', () => {
  it('hands its records over as they are, 500 at a time, for a lead to admit', async () => {
    const { phone } = await begin()
    const saved = await phone.save(...Array.from({ length: 1100 }, () => check()))
    const file = await read(phone)
    const { bodies, take } = await lead()
    expect(await take(file)).toEqual({ held: 1100, known: 0, refused: [], photos: 0, spoilt: 0, unread: 0, left: 0, halt: null })
    expect(bodies.map((body) => body.records.length)).toEqual([500, 500, 100])
    expect(bodies.flatMap((body) => body.records)).toEqual(saved)
    expect(bodies[2]).toMatchObject({ device: 'device.one', sent: file.sent })
  })

  it('hands over no more than a mebibyte at a time', async () => {
    const { phone } = await begin()
    const note = { kind: 'note', subject: { kind: 'piece', id: PIECE }, body: { text: 'ü'.repeat(2000) } } as const
    await phone.save(...Array.from({ length: 300 }, () => note))
    const { bodies, take } = await lead()
    await take(await read(phone))
    const sizes = bodies.map((body) => new TextEncoder().encode(JSON.stringify(body)).length)
    expect(sizes.length).toBeGreaterThan(1)
    expect(Math.max(...sizes)).toBeLessThanOrEqual(1024 * 1024)
    expect(bodies.flatMap((body) => body.records)).toHaveLength(300)
  })

  it('says what became of each', async () => {
    const { phone } = await begin()
    await phone.save(glue(), check(), check())
    const { server, take } = await lead()
    const bad = problem('bad-record', 422)
    server.fault = () =>
      json({
        epoch: server.epoch, now: '', skew_ms: 0, device_seq: { highest: 0, missing: [] },
        answers: [
          { id: 'a', index: 0, answer: 'duplicate', seq: 4, at: 1, problem: null, notes: [] },
          { id: 'b', index: 1, answer: 'refused', seq: null, at: null, problem: bad, notes: [] },
          { id: 'c', index: 2, answer: 'later', seq: null, at: 1, problem: null, notes: [] },
        ],
      })
    expect(await take(await read(phone))).toMatchObject({ held: 1, known: 1, refused: [{ id: 'b', problem: bad }], left: 0 })
  })

  it('stops where the server stops, and says how much is left', async () => {
    const { phone } = await begin()
    await phone.save(...Array.from({ length: 700 }, () => check()))
    const file = await read(phone)
    const { server, take } = await lead()
    const well = server.fault
    server.fault = null
    server.faults.push(well ?? offline, offline)
    expect(await take(file)).toMatchObject({ held: 500, left: 200, halt: { paused: 'offline' } })
    server.fault = () => json(problem('not-allowed', 403), 403)
    expect(await take(file)).toMatchObject({ held: 0, left: 700, halt: { paused: 'not-allowed', problem: { code: 'not-allowed' } } })
  })

  it('puts its photos in line here, each to be sent after its record, and leaves out damaged ones', async () => {
    const { server: from, phone } = await begin()
    await phone.save(glue())
    await phone.round()
    from.fault = offline
    const [known, fresh, third] = [shot(900, 1), shot(1000, 2), shot(1100, 3)]
    const [record] = await saveShots(phone, [fresh])
    await saveShots(phone, [known])
    await saveShots(phone, [third])
    const file = await read(phone)
    const photos = file.photos?.map((photo) => (photo.sha256 === third.sha256 ? { ...photo, base64: 'AAAA' } : photo))
    // Of one, the record had reached the server already.
    const records = file.records.filter((one) => JSON.stringify(one).includes(fresh.sha256))
    const { phone: desk, take } = await lead()
    expect(await take({ ...file, records, photos: photos ?? [] })).toMatchObject({ photos: 2, spoilt: 1 })
    const shelved = await rows(desk)
    expect(shelved.map((row) => [row.sha256, row.state, row.records]).sort()).toEqual(
      [[fresh.sha256, 'here', [record?.id]], [known.sha256, 'here', [known.sha256]]].sort(),
    )
    expect(await desk.db.read((tx) => getMeta(tx, 'loss'))).toBeUndefined()
  })
})

describe('handing a file out', () => {
  const file = new File(['{}'], 'nubbin-outbox-a-2026-03-01.json')
  const kinds: [string, object, string, number][] = [
    ['shared where the phone can share files', { canShare: () => true, share: async () => undefined }, 'shared', 0],
    ['saved where it cannot share this one', { canShare: () => false, share: async () => undefined }, 'saved', 1],
    ['saved where it cannot share at all', {}, 'saved', 1],
    ['neither where the person thought better of it', { canShare: () => true, share: () => Promise.reject(new DOMException('', 'AbortError')) }, 'cancelled', 0],
    ['saved where sharing is not allowed after all', { canShare: () => true, share: () => Promise.reject(new DOMException('', 'NotAllowedError')) }, 'saved', 1],
  ]
  it.each(kinds)('is %s', async (_, browser, handed, downloads) => {
    let saved = 0
    expect(await hand(file, browser, () => void (saved += 1))).toBe(handed)
    expect(saved).toBe(downloads)
  })

  it('takes in the records where the page may not look into photos, and says that it did not', async () => {
    const { server: from, phone } = await begin()
    from.fault = offline
    await saveShots(phone, [shot(900, 1)], [glue()])
    const file = await read(phone)
    const { phone: desk, take } = await lead()
    vi.spyOn(crypto, 'subtle', 'get').mockReturnValue(undefined as never)
    const taken = await take(file)
    vi.restoreAllMocks()
    expect(taken).toMatchObject({ held: 2, photos: 0, spoilt: 0, unread: 1 })
    expect(await rows(desk)).toEqual([])
    expect(await take(file)).toMatchObject({ photos: 1, unread: 0 })
  })
})
