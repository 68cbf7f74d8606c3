import 'fake-indexeddb/auto'
import { openDB } from 'idb'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { BarePhone } from '../sync/bare-phone.ts'
import { NoRoom, NotSaved, NotSignedIn } from '../sync/errors.ts'
import { FakeServer } from '../sync/fake-server.ts'
import { MIGRATIONS } from '../sync/schema.ts'
import { begin, check, device, glue, PIECE } from '../sync/trial.ts'
import { setKept } from './line.ts'
import { tally } from './shelf.ts'
import { author, rows, saveShots, shot } from './trial-shots.ts'

afterEach(() => vi.restoreAllMocks())

const everything = (phone: BarePhone) =>
  phone.db.read(async (tx) => {
    const stores = ['records', 'outbox', 'pieces', 'photos', 'meta'] as const
    return Promise.all(stores.map((store) => tx.objectStore(store).getAll()))
  })

describe('saving photos', () => {
  it('writes them with the check and the records that name them', async () => {
    const { phone } = await begin()
    const [one, two] = [shot(5000, 1), shot(7000, 2)]
    const made = await saveShots(phone, [one, two], [check()])
    expect(made.map((record) => record.kind)).toEqual(['check', 'photo', 'photo'])
    expect(made[1]).toMatchObject({
      subject: { kind: 'piece', id: PIECE }, device_seq: 2,
      body: { sha256: one.sha256, bytes: 5000, media: 'image/jpeg' },
    })
    expect(new Map((await rows(phone)).map((row) => [row.sha256, row]))).toEqual(new Map([one, two].map((taken, index) => [
      taken.sha256,
      {
        sha256: taken.sha256, bytes: taken.bytes, size: taken.bytes.byteLength, media: 'image/jpeg', small: taken.small,
        state: 'here', sent: 0, problem: null, again: false, records: [made[index + 1]?.id], saved_at: expect.any(Number),
      },
    ])))
    expect(await phone.db.read(tally)).toEqual({ waiting: 2, bytes: 12_000, refused: 0 })
  })

  it.each(['records', 'outbox', 'photos', 'pieces', 'meta'])('keeps nothing at all where the phone is full at: %s', async (store) => {
    const { phone } = await begin()
    await phone.save(glue())
    const before = await everything(phone)
    const { put, add } = IDBObjectStore.prototype
    const full = (write: typeof put) =>
      function (this: IDBObjectStore, ...given: Parameters<typeof put>) {
        if (this.name === store) throw new DOMException('full', 'QuotaExceededError')
        return write.apply(this, given)
      }
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(full(put))
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(full(add))
    const saving = saveShots(phone, [shot(5000)], [check()])
    await expect(saving).rejects.toThrow(NoRoom)
    await expect(saving).rejects.toThrow(NotSaved)
    vi.restoreAllMocks()
    expect(await everything(phone)).toEqual(before)
    const made = await saveShots(phone, [shot(5000)], [check()])
    expect([made.map((one) => one.device_seq), (await rows(phone)).length]).toEqual([[2, 3], 1])
  })

  it('keeps no photo where nobody is signed in', async () => {
    const { phone } = await begin()
    const stranger = phone.outbox.save([check()], { ...author, staff: 'staff.bo' }, [shot(10)])
    await expect(stranger).rejects.toThrow(NotSignedIn)
    expect(await rows(phone)).toEqual([])
  })

  it('keeps the same picture once, though two records name it', async () => {
    const { phone } = await begin()
    const [first] = await saveShots(phone, [shot(5000)])
    const [second] = await saveShots(phone, [shot(5000)])
    expect(await rows(phone)).toMatchObject([{ records: [first?.id, second?.id], state: 'here' }])
  })
})

describe('the shelf', () => {
  it('lets the oldest small pictures go, never one that is not sent', async () => {
    const { phone } = await begin()
    await saveShots(phone, [shot(50, 1)])
    await phone.db.write(async (tx) => {
      for (let index = 0; index < 1001; index += 1) {
        await tx.objectStore('photos').put({ ...(await rowOf(tx)), sha256: `kept-${index}`, state: 'kept', bytes: null, saved_at: index })
      }
    })
    await saveShots(phone, [shot(60, 2)])
    await phone.db.write((tx) => setKept(tx, shot(60, 2).sha256))
    const left = await rows(phone)
    expect(left.filter((row) => row.state === 'kept')).toHaveLength(1000)
    expect(left.some((row) => row.sha256 === 'kept-0' || row.sha256 === 'kept-1')).toBe(false)
    expect(left.find((row) => row.sha256 === shot(50, 1).sha256)).toMatchObject({ state: 'here', size: 50 })
    async function rowOf(tx: Parameters<typeof tally>[0]) {
      const row = await tx.objectStore('photos').get(shot(50, 1).sha256)
      if (!row) throw new Error('not here')
      return row
    }
  })

  it('comes to a phone of the version before, whose unsent records stay as they are', async () => {
    const server = new FakeServer()
    const first = MIGRATIONS[0]
    const db = await openDB('shelf-before', 1, { upgrade: (opened) => first?.(opened as never) })
    db.close()
    const older = new BarePhone(server.fetch, 'shelf-before', device())
    // What the older version wrote, put there without the newer one's hand.
    const { phone: maker } = await begin()
    const [made] = await maker.save(glue())
    const [row, waits] = await maker.db.read(async (tx) => [await tx.objectStore('records').getAll(), await tx.objectStore('outbox').getAll()])
    const before = await openDB('shelf-before', 1)
    for (const one of row) await before.put('records', one)
    for (const one of waits) await before.put('outbox', one)
    before.close()
    await older.signIn(server.person('staff.ada', 'device.one'))
    expect(await older.db.read((tx) => tx.objectStore('outbox').getAll())).toEqual(waits)
    await saveShots(older, [shot(5000)])
    await older.round()
    expect(server.log.map(({ record }) => record.kind)).toEqual(['glue', 'photo'])
    expect(server.log[0]?.record).toEqual(made)
    expect(await rows(older)).toMatchObject([{ state: 'kept' }])
  })
})
