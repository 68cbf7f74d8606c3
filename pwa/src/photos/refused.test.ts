import { describe, expect, it } from 'vitest'
import { json, problem, type FakeServer } from '../sync/fake-server.ts'
import { begin } from '../sync/trial.ts'
import { letGo, sendAgain } from './line.ts'
import { CHUNK } from './pace.ts'
import { tally } from './shelf.ts'
import { delivered, onPatch, onPhotos, paths, rows, saveShots, shot, type Fault } from './trial-shots.ts'

describe('a photo the server will not have', () => {
  it.each(['not-a-photo', 'too-many-pixels'])('stays here, is shown and holds nothing up: %s', async (code) => {
    const { server, phone } = await begin()
    const bad = shot(1000, 1)
    await saveShots(phone, [bad])
    await saveShots(phone, [shot(1000, 2)])
    server.photos.refuse.set(bad.sha256, code)
    await phone.round()
    expect(await rows(phone)).toMatchObject([
      { state: 'refused', bytes: bad.bytes, problem: { code } },
      { state: 'kept', bytes: null },
    ])
    expect(await phone.db.read(tally)).toEqual({ waiting: 0, bytes: 0, refused: 1 })
    const asked = paths(server)
    await phone.round()
    expect(asked).toEqual(['/api/sync/pull'])
  })

  it('goes when a person asks for it again and the server has thought better of it', async () => {
    const { server, phone } = await begin()
    const bad = shot(1000)
    await saveShots(phone, [bad])
    server.photos.refuse.set(bad.sha256, 'not-a-photo')
    await phone.round()
    const ask = () => phone.db.write((tx) => sendAgain(tx, bad.sha256))
    await ask()
    await phone.round()
    expect(await rows(phone)).toMatchObject([{ state: 'refused', bytes: bad.bytes, problem: { code: 'not-a-photo' } }])
    server.photos.refuse.clear()
    await ask()
    await phone.round()
    await delivered(server, phone)
    expect(server.photos.patches).toHaveLength(3)
  })

  it('is gone once a person lets go of it; one that is not refused stays', async () => {
    const { server, phone } = await begin()
    const [bad, good] = [shot(1000, 1), shot(1000, 2)]
    await saveShots(phone, [bad, good])
    server.photos.refuse.set(bad.sha256, 'not-a-photo')
    await phone.round()
    await phone.db.write((tx) => letGo(tx, bad.sha256))
    await phone.db.write((tx) => letGo(tx, good.sha256))
    expect((await rows(phone)).map(({ sha256, state }) => [sha256, state])).toEqual([[good.sha256, 'kept']])
    expect(await phone.db.read(tally)).toEqual({ waiting: 0, bytes: 0, refused: 0 })
    const asked = paths(server)
    await phone.round()
    expect(asked).toEqual(['/api/sync/pull'])
  })

  it('is begun again once where other bytes arrived than were sent', async () => {
    const { server, phone } = await begin()
    const taken = shot(CHUNK + 1000)
    await saveShots(phone, [taken])
    server.photos.append(taken.sha256, new Uint8Array(CHUNK))
    await phone.round()
    await delivered(server, phone)
    expect(server.photos.patches.map(({ at }) => at)).toEqual([CHUNK, 0, CHUNK])
  })

  it('is refused where other bytes arrive twice, in one round or in two', async () => {
    const { server, phone } = await begin()
    const taken = shot(CHUNK + 1000)
    await saveShots(phone, [taken])
    const spoil: Fault = (_, answer) => {
      const [bytes] = [server.photos.arrived.get(taken.sha256)]
      if (bytes?.length) bytes[0] = (bytes[0] ?? 0) ^ 1
      return answer()
    }
    server.fault = onPatch(spoil)
    await phone.round()
    expect(await rows(phone)).toMatchObject([{ state: 'refused', bytes: taken.bytes, problem: { code: 'other-hash' } }])
    expect(server.photos.patches.map(({ at }) => at)).toEqual([0, CHUNK, 0, CHUNK])
  })

  it('does not stop the others where it breaks the server', async () => {
    const { server, phone } = await begin()
    const bad = shot(1000, 1)
    await saveShots(phone, [bad])
    await saveShots(phone, [shot(1000, 2)])
    server.fault = ({ path }, answer) => (path.includes(bad.sha256) ? json(problem('broken', 500), 500) : answer())
    await phone.round()
    expect((await rows(phone)).map((row) => row.state)).toEqual(['here', 'kept'])
  })

  it('is not asked for one by one while the server is broken altogether', async () => {
    const { server, phone } = await begin()
    for (let index = 1; index <= 10; index += 1) await saveShots(phone, [shot(100, index)])
    const asked: string[] = []
    server.fault = onPhotos(({ path }) => {
      asked.push(path)
      return json(problem('broken', 500), 500)
    })
    await phone.round()
    expect(asked).toHaveLength(3)
    expect(await phone.db.read(tally)).toEqual({ waiting: 10, bytes: 1000, refused: 0 })
  })
})

describe('a photo’s bytes', () => {
  const claim = (more: object) => (server: FakeServer, sha256: string) =>
    json({ epoch: server.epoch, sha256, received: 1000, bytes: 1000, state: 'kept', problem: null, ...more })
  it.each([
    ['another photo', claim({ sha256: 'f'.repeat(64) })],
    ['another size', claim({ bytes: 999 })],
    ['another database', claim({ epoch: 'b'.repeat(32) })],
    ['no database', claim({ epoch: undefined })],
    ['no state', claim({ state: undefined, received: undefined })],
  ])('stay where what is said to be kept is of %s', async (_, answer) => {
    const { server, phone } = await begin()
    const taken = shot(1000)
    await saveShots(phone, [taken])
    server.fault = onPhotos(() => answer(server, taken.sha256))
    await phone.round()
    expect((await rows(phone))[0]?.bytes).toEqual(taken.bytes)
    server.fault = null
    await phone.round()
    await delivered(server, phone)
  })
})
