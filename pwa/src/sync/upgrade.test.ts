/** Databases that earlier and later versions of the app made, each with an outbox. */
import 'fake-indexeddb/auto'
import { openDB, type IDBPDatabase } from 'idb'
import { describe, expect, it, vi } from 'vitest'
import { BarePhone } from './bare-phone.ts'
import { FakeServer, offline } from './fake-server.ts'
import { MIGRATIONS, type Schema } from './schema.ts'
import { check, device, glue, PIECE } from './trial.ts'

const FIRST = 1
const STORES_THEN = ['records', 'outbox', 'pieces', 'cuts', 'items', 'meta'] as const
let count = 0

type Contents = Record<string, unknown[]>

async function contents(db: IDBPDatabase<Schema>, stores: readonly (typeof STORES_THEN)[number][]): Promise<Contents> {
  const found: Contents = {}
  for (const store of stores) found[store] = [await db.getAllKeys(store), await db.getAll(store)]
  return found
}

/** What an app of the first version left: a database with only its stores, and three unsent records. */
async function leftBehind(server: FakeServer): Promise<{ name: string; before: Contents }> {
  // Made by this app and copied, since the first version wrote the same rows.
  const maker = new BarePhone(server.fetch, `upgrade-maker-${(count += 1)}`, device())
  await maker.signIn(server.person('staff.ada', 'device.one'))
  await maker.save(glue(), check(), check(PIECE, { mouth: 'bud' }))
  await maker.db.close()
  const made = await openDB<Schema>(`upgrade-maker-${count}`)
  const name = `upgrade-${count}`
  const db = await openDB<Schema>(name, FIRST, {
    upgrade: (old) => MIGRATIONS.slice(0, FIRST).forEach((migrate) => migrate(old)),
  })
  for (const store of STORES_THEN) {
    const keys = await made.getAllKeys(store)
    for (const [at, value] of (await made.getAll(store)).entries()) {
      const key = db.transaction(store).store.keyPath === null ? keys[at] : undefined
      await db.put(store, value as never, key as never)
    }
  }
  // The first version kept no record of a pairing apart from the person.
  await db.delete('meta', 'paired')
  const before = await contents(db, STORES_THEN)
  db.close()
  made.close()
  return { name, before }
}

describe('a database of the first version', () => {
  it('is added to and never rewritten, and what waits in it is sent', async () => {
    const server = new FakeServer()
    const { name, before } = await leftBehind(server)
    const phone = new BarePhone(server.fetch, name, device())
    expect((await phone.outbox.waiting()).map((one) => one.record.device_seq)).toEqual([1, 2, 3])
    const raised = await openDB<Schema>(name)
    expect([raised.version, await contents(raised, STORES_THEN)]).toEqual([MIGRATIONS.length, before])
    raised.close()
    const [made] = await phone.save(check())
    expect(made?.device_seq).toBe(4)
    expect((await phone.round()).paused).toBeNull()
    expect(server.log.map((entry) => entry.record.device_seq)).toEqual([1, 2, 3, 4])
    expect((await phone.piece(PIECE))?.state).toEqual(server.state(PIECE))
    expect(await phone.outbox.waiting()).toEqual([])
  })

  it('is raised while a tab of the old version has it open, which makes way', async () => {
    const server = new FakeServer()
    const { name } = await leftBehind(server)
    let madeWay = false
    const old = await openDB<Schema>(name, FIRST, {
      blocking: () => {
        madeWay = true
        old.close()
      },
    })
    const phone = new BarePhone(server.fetch, name, device())
    expect(await phone.outbox.waiting()).toHaveLength(3)
    expect(madeWay).toBe(true)
  })
})

describe('a database of a version to come', () => {
  async function later() {
    const server = new FakeServer()
    const name = `upgrade-${(count += 1)}`
    const phone = new BarePhone(server.fetch, name, device())
    await phone.signIn(server.person('staff.ada', 'device.one'))
    await phone.save(glue(), check())
    await phone.db.close()
    const db = await openDB(name, MIGRATIONS.length + 3, { upgrade: (newer) => void newer.createObjectStore('later') })
    db.close()
    return { server, name }
  }

  it('is opened as it is by this version, which saves to it and sends from it', async () => {
    const { server, name } = await later()
    const phone = new BarePhone(server.fetch, name, device())
    server.fault = offline
    await phone.save(check())
    server.fault = null
    expect((await phone.round()).paused).toBeNull()
    expect(server.log.map((entry) => entry.record.device_seq)).toEqual([1, 2, 3])
    const db = await openDB(name)
    expect([db.version, [...db.objectStoreNames].includes('later')]).toEqual([MIGRATIONS.length + 3, true])
    db.close()
  })

  it('closes what this version has open, and opens it again for the next save', async () => {
    const { server, name } = await later()
    const phone = new BarePhone(server.fetch, name, device())
    await phone.outbox.waiting()
    const close = vi.spyOn(IDBDatabase.prototype, 'close')
    const db = await openDB(name, MIGRATIONS.length + 4, { upgrade: (newer) => void newer.createObjectStore('later still') })
    expect(close).toHaveBeenCalled()
    db.close()
    vi.restoreAllMocks()
    await phone.save(check())
    expect(await phone.outbox.waiting()).toHaveLength(3)
  })
})
