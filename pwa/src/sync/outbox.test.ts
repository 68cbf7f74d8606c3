import { afterEach, describe, expect, it, vi } from 'vitest'
import { NotSaved, NotSignedIn } from './errors.ts'
import { leave } from './epoch.ts'
import { begin, check, glue, id, PIECE } from './trial.ts'

afterEach(() => vi.restoreAllMocks())

const author = { staff: 'staff.ada', device: 'device.one' }

describe('saving', () => {
  it('writes the record, its place in the line and the piece as it now stands', async () => {
    const { phone } = await begin()
    const [glued, checked] = await phone.save(glue(PIECE, { code: '4JQZKDMN' }), check())
    const piece = await phone.piece(PIECE)
    expect(piece?.state).toMatchObject({ stage: 'healing', mouth: 'open', checks: 1, last_id: checked?.id })
    expect(piece?.code).toBe('4JQZKDMN')
    expect(piece?.records.map(({ record, sent, retracted }) => [record.id, sent, retracted])).toEqual([
      [glued?.id, 'waiting', false],
      [checked?.id, 'waiting', false],
    ])
    const waiting = await phone.outbox.waiting()
    expect(waiting.map((one) => one.record)).toEqual([glued, checked])
    expect(await phone.outbox.unsent()).toMatchObject({ waiting: 2, refused: 0, byStaff: { 'staff.ada': 2 } })
  })

  it('makes records as the vocabulary has them', async () => {
    const { phone } = await begin()
    const [record] = await phone.save(check(PIECE, { mouth: 'bud', lights: undefined }))
    expect(record).toEqual({
      id: expect.stringMatching(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/),
      kind: 'check',
      v: 1,
      subject: { kind: 'piece', id: PIECE },
      observed: {
        at: expect.stringMatching(/^2026-03-01T10:00:\d\d\.000Z$/),
        offset: 300,
        zone: 'Indian/Maldives',
        session: phone.outbox.session,
        tick: expect.any(Number),
      },
      ...author,
      device_seq: 1,
      body: { mouth: 'bud' },
    })
  })

  it('numbers the records of a device without a gap, whoever records at once', async () => {
    const { phone } = await begin()
    const saved = await Promise.all(Array.from({ length: 20 }, () => phone.save(check(), check())))
    const numbers = saved.flat().map((record) => record.device_seq)
    expect([...numbers].sort((a, b) => a - b)).toEqual(Array.from({ length: 40 }, (_, index) => index + 1))
  })

  it('takes a record back before it is sent, and counts it no more', async () => {
    const { phone } = await begin()
    const [, checked] = await phone.save(glue(), check())
    await phone.outbox.retract([checked?.id ?? ''], 'tapped by mistake', author)
    const piece = await phone.piece(PIECE)
    expect(piece?.state).toMatchObject({ mouth: null, checks: 0 })
    expect(piece?.records.map((one) => one.retracted)).toEqual([false, true])
    expect((await phone.outbox.waiting()).map((one) => one.record.kind)).toEqual(['glue', 'check', 'retract'])
  })

  it('refuses to save for somebody who is not at this phone any more', async () => {
    const { phone } = await begin()
    await leave(phone.db)
    await expect(phone.outbox.save([check()], author)).rejects.toThrow(NotSignedIn)
    expect(await phone.outbox.waiting()).toEqual([])
  })
})

/** Make the nth write to a store fail as a full disk does, and the transaction with it. */
function fillDisk(nth: number): void {
  let left = nth
  for (const method of ['put', 'add'] as const) {
    const real = IDBObjectStore.prototype[method]
    vi.spyOn(IDBObjectStore.prototype, method).mockImplementation(function (this: IDBObjectStore, ...args) {
      left -= 1
      if (left === 0) throw new DOMException('The disk is full.', 'QuotaExceededError')
      return real.apply(this, args)
    })
  }
}

describe('a phone that cannot write', () => {
  it('never says saved: at every single write nothing is kept, and it can be saved again', async () => {
    const { phone } = await begin()
    await phone.save(glue())
    let failures = 0
    for (let nth = 1; ; nth += 1) {
      const before = await phone.outbox.waiting()
      fillDisk(nth)
      const outcome = await phone.save(check()).catch((error: unknown) => error)
      vi.restoreAllMocks()
      if (!(outcome instanceof Error)) break
      failures += 1
      expect(outcome).toBeInstanceOf(NotSaved)
      expect(await phone.outbox.waiting()).toEqual(before)
      expect((await phone.piece(PIECE))?.state.checks).toBe(0)
    }
    // The record, its number, its place in the line and the piece: each was made to fail.
    expect(failures).toBeGreaterThanOrEqual(4)
    const numbers = (await phone.outbox.waiting()).map((one) => one.record.device_seq)
    expect(numbers).toEqual([1, 2])
  })

  it('opens its database again when the browser has dropped the connection', async () => {
    const { phone } = await begin()
    await phone.save(glue())
    const real = IDBDatabase.prototype.transaction
    let lost = true
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(function (this: IDBDatabase, ...args) {
      if (lost) {
        lost = false
        throw new DOMException('The connection was closed.', 'InvalidStateError')
      }
      return real.apply(this, args)
    })
    await phone.save(check())
    expect((await phone.piece(PIECE))?.state.checks).toBe(1)
  })

  it('says so when opening again is of no use', async () => {
    const { phone } = await begin()
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(() => {
      throw new DOMException('Connection to the server lost.', 'UnknownError')
    })
    await expect(phone.outbox.save([check()], author)).rejects.toThrow(NotSaved)
  })
})

describe('a code that two pieces were given', () => {
  it('is held by the one that had it first, however they come', async () => {
    const { phone } = await begin()
    const [second, first] = [id(0xa002), id(0xa001)]
    await phone.save(glue(first, { code: '4JQZKDMN' }))
    await phone.save(glue(second, { code: '4JQZKDMN' }))
    const [one, two] = [await phone.piece(first), await phone.piece(second)]
    expect([one?.code, one?.lost_codes]).toEqual(['4JQZKDMN', []])
    expect([two?.code, two?.lost_codes]).toEqual([null, ['4JQZKDMN']])
  })

  it('goes to the next when the first one’s gluing is taken back', async () => {
    const { phone } = await begin()
    const [second, first] = [id(0xa002), id(0xa001)]
    const [glued] = await phone.save(glue(first, { code: '4JQZKDMN' }))
    await phone.save(glue(second, { code: '4JQZKDMN' }))
    await phone.outbox.retract([glued?.id ?? ''], 'wrong base', author)
    expect([(await phone.piece(first))?.code, (await phone.piece(second))?.code]).toEqual([null, '4JQZKDMN'])
  })
})
