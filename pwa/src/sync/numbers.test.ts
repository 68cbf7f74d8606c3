import 'fake-indexeddb/auto'
import { deleteDB } from 'idb'
import { describe, expect, it } from 'vitest'
import { trialStorage } from '../kit/trial-storage.ts'
import { FakeServer, json, offline, problem } from './fake-server.ts'
import { Phone } from './phone.svelte.ts'
import { begin, check, glue, id, phoneOn, PIECE } from './trial.ts'
import { Witness } from './witness.ts'
import { getMeta, lastDeviceSeq } from './meta.ts'

let count = 0
const GLUE = { cut: id(0xc001), base: 'base.hex-40', purpose: 'sale' } as const
const piece = { kind: 'piece', id: PIECE } as const

class Trial {
  readonly server = new FakeServer()
  readonly name = `numbers-${(count += 1)}`
  readonly beside = trialStorage()
  readonly phone = this.open()

  open(beside: Storage | null = this.beside): Phone {
    return new Phone(this.server.fetch, this.name, new Witness(beside))
  }

  async begin(): Promise<this> {
    await this.phone.setMe(this.server.person('staff.ada', 'device.one'))
    await this.phone.sync()
    return this
  }

  /** Two records that are sent, and two that are not. */
  async record(): Promise<void> {
    await this.phone.record('glue', piece, GLUE)
    await this.phone.check(PIECE, { mouth: 'bud' })
    await this.phone.sync()
    this.server.fault = offline
    await this.phone.check(PIECE, { mouth: 'open' })
    await this.phone.check(PIECE, { mouth: 'feeding' })
    await this.phone.sync()
    this.server.fault = null
  }

  /** As a browser does that runs short of room, or a person who clears the site's data. */
  async empty(): Promise<void> {
    await deleteDB(this.name)
  }
}

describe('storage that is emptied under an open tab', () => {
  it('is noticed at the next save: the number goes on, and what is gone is told', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    const made = await trial.phone.check(PIECE, { recession: 'none' })
    expect(made.device_seq).toBe(5)
    expect(trial.phone.loss).toMatchObject({ device: 'device.one', last: 4, unsent: 2, missing: [] })
    expect(trial.phone.loss?.oldest).toBeTypeOf('number')
    trial.server.missing = [3, 4]
    await trial.phone.sync()
    expect(trial.server.log.map((entry) => entry.record.device_seq)).toEqual([1, 2, 5])
    expect(trial.phone.loss).toMatchObject({ last: 4, unsent: 2, highest: 2, missing: [3, 4] })
    // What the server had is fetched again.
    expect((await trial.phone.piece(PIECE))?.state).toEqual(trial.server.state(PIECE))
  })

  it('is noticed at the next round too, which then goes as ever', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    await trial.phone.sync()
    expect([trial.phone.paused, trial.phone.me?.staff.id]).toEqual([null, 'staff.ada'])
    expect(trial.phone.loss).toMatchObject({ last: 4, unsent: 2, highest: 2 })
    expect((await trial.phone.piece(PIECE))?.state).toEqual(trial.server.state(PIECE))
  })

  it('is noticed without a save too, and by a tab that was signed out', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.phone.setMe(null)
    trial.server.me = null
    await trial.empty()
    await trial.phone.read((tx) => tx.objectStore('meta').count())
    await trial.phone.write(async () => undefined)
    expect(trial.phone.loss).toMatchObject({ device: 'device.one', last: 4, unsent: 2 })
    expect([trial.phone.me, trial.phone.device]).toEqual([null, null])
  })

  it('is told once: having read it, nobody is told again', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    await trial.phone.check(PIECE, { recession: 'none' })
    trial.server.missing = [3, 4]
    await trial.phone.sync()
    await trial.phone.haveRead()
    expect(trial.phone.loss).toBeNull()
    await trial.phone.check(PIECE, { recession: 'rim' })
    await trial.phone.sync()
    expect(trial.phone.loss).toBeNull()
    trial.server.missing = [3, 4, 6]
    await trial.phone.check(PIECE, { recession: 'half' })
    await trial.phone.sync()
    // Number 6 is on this phone and is simply sent again.
    expect(trial.phone.loss).toBeNull()
  })
})

describe('storage that was emptied while the app was closed', () => {
  it('goes on behind the server’s number, where only the session remembers the phone', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    const phone = trial.open(null)
    await phone.recognise()
    expect(phone.me?.staff.id).toBe('staff.ada')
    expect(phone.loss).toMatchObject({ device: 'device.one', last: null, unsent: null, highest: 2 })
    expect((await phone.check(PIECE, {})).device_seq).toBe(3)
  })

  it('goes on behind the phone’s own number, where that is remembered beside the database', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    const phone = trial.open()
    await phone.recognise()
    expect(phone.loss).toMatchObject({ device: 'device.one', last: 4, unsent: 2, highest: 2 })
    expect((await phone.check(PIECE, {})).device_seq).toBe(5)
  })

  it('takes nobody to be here while it cannot learn the number', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    const phone = trial.open(null)
    trial.server.fault = ({ path }, answer) => (path.endsWith('push') ? json(problem('slow-down', 429), 429) : answer())
    await phone.recognise()
    expect(phone.me).toBeNull()
    trial.server.fault = null
    await phone.sync()
    expect([phone.me?.staff.id, phone.loss?.highest]).toEqual(['staff.ada', 2])
  })

  it('tells what was not sent also where the phone is paired anew, as another device', async () => {
    const trial = await new Trial().begin()
    await trial.record()
    await trial.empty()
    trial.server.me = trial.server.person('staff.ada', 'device.two')
    const phone = trial.open()
    await phone.setMe(trial.server.me)
    expect(phone.loss).toMatchObject({ device: 'device.one', last: 4, unsent: 2 })
    expect((await phone.check(PIECE, {})).device_seq).toBe(1)
  })
})

describe('a phone that has lost nothing', () => {
  it('says nothing of a loss: new, used, left, and opened again', async () => {
    const trial = await new Trial().begin()
    expect(trial.phone.loss).toBeNull()
    await trial.record()
    await trial.phone.setMe(null)
    expect(trial.phone.loss).toBeNull()
    const phone = trial.open()
    await phone.setMe(trial.server.person('staff.ada', 'device.one'))
    await phone.sync()
    expect([phone.loss, trial.server.log.length]).toEqual([null, 4])
  })

  it('is not asked for its numbers twice', async () => {
    const { server, phone } = await begin()
    let asked = 0
    server.fault = ({ body }, answer) => {
      if (body?.records.length === 0) asked += 1
      return answer()
    }
    await phone.round()
    await phone.save(glue(), check())
    await phone.round()
    expect([asked, server.log.length]).toEqual([0, 2])
  })
})

describe('a device known to the server by its number alone', () => {
  it('never gives out a number twice, whichever way it signs in', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check(), check())
    await phone.round()
    const again = await phoneOn(server)
    expect(await again.db.read((tx) => lastDeviceSeq(tx, 'device.one'))).toBe(3)
    expect(await again.db.read((tx) => getMeta(tx, 'loss'))).toMatchObject({ highest: 3, unsent: null })
    const [made] = await again.save(check())
    await again.round()
    expect([made?.device_seq, server.log.map((entry) => entry.record.device_seq)]).toEqual([4, [1, 2, 3, 4]])
  })

  it('sends its own records again to a restored server though its storage was emptied in between', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    await phone.round()
    const again = await phoneOn(server)
    await again.round()
    server.epoch = 'd'.repeat(32)
    server.log = []
    await again.round()
    await again.round()
    expect(server.log.map((entry) => entry.record.device_seq)).toEqual([1, 2])
  })
})
