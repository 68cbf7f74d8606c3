import 'fake-indexeddb/auto'
import { openDB } from 'idb'
import { describe, expect, it } from 'vitest'
import { BarePhone } from './bare-phone.ts'
import { Drain } from './drain.ts'
import { FakeServer } from './fake-server.ts'
import { MIGRATIONS, STORES } from './schema.ts'
import { begin, check, device, glue, PIECE } from './trial.ts'

let count = 0
const newer = () => MIGRATIONS.length + 1

async function stocked(): Promise<{ server: FakeServer; phone: BarePhone; name: string }> {
  const server = new FakeServer()
  const name = `database-${(count += 1)}`
  const phone = new BarePhone(server.fetch, name, device())
  await phone.signIn(server.person('staff.ada', 'device.one'))
  await phone.save(glue(), check())
  return { server, phone, name }
}

describe('the phone’s database', () => {
  it('is made by its migrations, each store once', async () => {
    const { phone, name } = await stocked()
    await phone.db.close()
    const db = await openDB(name)
    expect([...db.objectStoreNames].sort()).toEqual([...STORES].sort())
    expect(db.version).toBe(MIGRATIONS.length)
    db.close()
  })

  it('makes way for a newer app, and what waits is still sent by this one', async () => {
    const { server, phone, name } = await stocked()
    // The newer app opens the database while this one has it open, and adds to it.
    const db = await openDB(name, newer(), { upgrade: (db) => void db.createObjectStore('later') })
    db.close()
    await phone.save(check())
    expect((await phone.round()).paused).toBeNull()
    expect(server.log).toHaveLength(3)
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
  })

  it('is opened by an older app too', async () => {
    const { server, phone, name } = await stocked()
    await phone.db.close()
    const db = await openDB(name, newer(), { upgrade: (db) => void db.createObjectStore('later') })
    db.close()
    const older = new BarePhone(server.fetch, name, device())
    await older.save(check())
    await older.round()
    expect(server.log).toHaveLength(3)
  })

  it('throws what the work itself throws, and keeps nothing of it', async () => {
    const { phone } = await stocked()
    const work = phone.db.write(async (tx) => {
      await tx.objectStore('meta').put('half', 'cursor')
      throw new RangeError('by the work itself')
    })
    await expect(work).rejects.toThrow(RangeError)
    expect(await phone.db.read((tx) => tx.objectStore('meta').get('cursor'))).toBeUndefined()
  })
})

describe('several tabs', () => {
  it('send one after another where the browser has locks', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    let held: Promise<unknown> = Promise.resolve()
    const locks = {
      request: (_name: string, _options: unknown, work: () => Promise<unknown>) => (held = held.then(work)),
    } as unknown as LockManager
    const tabs = [1, 2, 3].map(() => new Drain(phone.db, phone.outbox, server.fetch, locks))
    await Promise.all(tabs.map((tab) => tab.run()))
    expect(server.pushes).toHaveLength(1)
    expect(server.log).toHaveLength(2)
  })

  it('do no harm where it has none', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check(), check())
    const tabs = [1, 2, 3].map(() => new Drain(phone.db, phone.outbox, server.fetch, null))
    const outcomes = await Promise.all(tabs.map((tab) => tab.run()))
    expect(outcomes.map((one) => one.paused)).toEqual([null, null, null])
    expect(server.log).toHaveLength(3)
    expect(await phone.outbox.waiting()).toEqual([])
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
  })

  it('goes on without the lock where a frozen tab never lets it go', async () => {
    const { server, phone } = await begin()
    await phone.save(glue())
    const locks = {
      request: (_: string, { signal }: { signal: AbortSignal }) =>
        // Stands for the two minutes' patience being over.
        Promise.reject(Object.defineProperty(signal, 'reason', { value: new DOMException('over', 'TimeoutError') }).reason),
    } as unknown as LockManager
    await new Drain(phone.db, phone.outbox, server.fetch, locks).run()
    expect(server.log).toHaveLength(1)
  })
})
