/** Names, storage that is stuck, and clearing the phone. */
import 'fake-indexeddb/auto'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { status } from '../shell/status.svelte.ts'
import { trialStorage } from '../kit/trial-storage.ts'
import { FakeServer, offline } from './fake-server.ts'
import { NotReadable, NotSaved, NotSignedIn, Phone } from './phone.svelte.ts'
import { runs } from './runs.ts'
import { STORES } from './schema.ts'
import { id, PIECE } from './trial.ts'
import { Witness } from './witness.ts'

afterEach(() => {
  vi.restoreAllMocks()
  Object.assign(status, { stuck: false, broken: null })
})

let count = 0
const GLUE = { cut: id(0xc001), base: 'base.hex-40', purpose: 'sale' } as const
const piece = { kind: 'piece', id: PIECE } as const

async function signedIn() {
  const [server, name, kept] = [new FakeServer(), `keeping-${(count += 1)}`, new Map<string, string>()]
  const store = trialStorage(kept)
  const open = () => new Phone(server.fetch, name, new Witness(store))
  const phone = open()
  await phone.setMe(server.person('staff.ada', 'device.one'))
  await phone.sync()
  return { server, phone, open, kept }
}

describe('names', () => {
  it('are known without a network, and the key stands where one is not', async () => {
    const { server, phone, open } = await signedIn()
    await phone.setPeople([{ id: 'staff.bo', name: 'Bo Lund', role: 'keeper' } as never, { id: 'staff.ada', name: 'Old name' }])
    server.fault = offline
    const again = open()
    await again.write(async () => undefined)
    expect(['staff.ada', 'staff.bo', 'staff.cy'].map((key) => again.nameOf(key))).toEqual(['staff.ada', 'Bo Lund', 'staff.cy'])
    await again.setMe(null)
    expect(again.nameOf('staff.ada')).toBe('Old name')
  })
})

describe('storage that is stuck', () => {
  function break_(): void {
    vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(() => {
      throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError')
    })
  }

  it('is said, so that a screen can offer to open the app anew, until a save goes well', async () => {
    const { phone } = await signedIn()
    await phone.record('glue', piece, GLUE)
    break_()
    await expect(phone.check(PIECE, {})).rejects.toThrow(NotSaved)
    expect(status.stuck).toBe(true)
    vi.restoreAllMocks()
    await phone.check(PIECE, {})
    expect(status.stuck).toBe(false)
  })

  it('is said where nothing can be read, until it can', async () => {
    const { phone } = await signedIn()
    break_()
    await expect(phone.pieces()).rejects.toThrow(NotReadable)
    await phone.sync()
    expect(status.broken).toMatch(/could not be read/)
    expect(phone.broken).toBe(status.broken)
    vi.restoreAllMocks()
    await phone.write(async () => undefined)
    expect(status.broken).toBeNull()
  })

  it('is not what keeps somebody from saving who is not signed in', async () => {
    const { phone } = await signedIn()
    await phone.setMe(null)
    await expect(phone.check(PIECE, {})).rejects.toThrow(NotSignedIn)
    expect(status.stuck).toBe(false)
  })
})

describe('clearing the phone', () => {
  it('deletes everything, and is not taken for a loss', async () => {
    const { server, phone, open, kept } = await signedIn()
    await phone.record('glue', piece, GLUE)
    server.fault = offline
    await phone.check(PIECE, {})
    expect(kept.size).toBe(1)
    await phone.wipe()
    expect([phone.me, phone.device, phone.loss, status.unsent, kept.size]).toEqual([null, null, null, 0, 0])
    const left = await phone.read(async (tx) => {
      const counts = STORES.map((store) => tx.objectStore(store).count())
      return Promise.all(counts)
    })
    expect(left).toEqual(STORES.map((store) => (store === 'meta' ? 1 : 0)))
    // Opened again with the session still standing: nobody is taken to be here unasked.
    server.fault = null
    const again = open()
    await again.write(async () => undefined)
    await again.sync()
    expect([again.me, again.loss, again.paused]).toEqual([null, null, 'signed-out'])
  })

  it('is found out by the other tabs, which do not write anything back', async () => {
    const { phone, open } = await signedIn()
    const other = open()
    await other.write(async () => undefined)
    await phone.wipe()
    await other.sync()
    expect([other.me, other.loss]).toEqual([null, null])
    await expect(other.check(PIECE, {})).rejects.toThrow(NotSignedIn)
  })

  it('is forgotten once somebody signs in again', async () => {
    const { server, phone } = await signedIn()
    await phone.wipe()
    server.me = server.person('staff.ada', 'device.two')
    await phone.setMe(server.me)
    expect([phone.me?.device.id, phone.wiped, phone.loss]).toEqual(['device.two', false, null])
    expect((await phone.record('glue', piece, GLUE)).device_seq).toBe(1)
  })
})

it('numbers are told as runs', () => {
  expect(runs([3, 1, 2, 7, 9, 10, 9])).toEqual([[1, 3], [7, 7], [9, 10]])
  expect(runs([])).toEqual([])
})
