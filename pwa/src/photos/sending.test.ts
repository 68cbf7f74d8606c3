import { describe, expect, it } from 'vitest'
import { answerLost, badGateway, json, offline, otherServer, problem, signInPage, signedOut, truncated } from '../sync/fake-server.ts'
import { begin, check, glue } from '../sync/trial.ts'
import { CHUNK } from './pace.ts'
import { tally } from './shelf.ts'
import { delivered, onPatch, onPhotos, paths, rows, saveShots, shot, well, type Fault } from './trial-shots.ts'

describe('sending photos', () => {
  it('goes after records and what is fetched, in chunks, and keeps the small picture', async () => {
    const { server, phone } = await begin()
    const taken = shot(2 * CHUNK + 1000)
    await saveShots(phone, [taken], [glue(), check()])
    const asked = paths(server)
    expect(await phone.round()).toEqual({ paused: null, problem: null })
    const name = taken.sha256.slice(0, 4)
    const photo = [`/api/photos/${name}/state`, ...Array.from({ length: 3 }, () => `/api/photos/${name}`)]
    expect(asked).toEqual(['/api/me', '/api/sync/push', '/api/sync/pull', ...photo])
    expect(server.photos.patches.map(({ at, length }) => [at, length])).toEqual([[0, CHUNK], [CHUNK, CHUNK], [2 * CHUNK, 1000]])
    await delivered(server, phone)
    expect((await rows(phone))[0]?.small).toEqual(taken.small)
    expect(await phone.db.read(tally)).toEqual({ waiting: 0, bytes: 0, refused: 0 })
    asked.length = 0
    await phone.round()
    expect(asked).toEqual(['/api/sync/pull'])
  })

  it('never sends a photo before a record that names it has arrived', async () => {
    const { server, phone } = await begin()
    const [refused] = await saveShots(phone, [shot(1000, 1)])
    await saveShots(phone, [shot(1000, 2)])
    server.refuse.add(refused?.id ?? '')
    const asked = paths(server)
    await phone.round()
    expect(asked.filter((path) => path.includes(shot(1000, 1).sha256.slice(0, 4)))).toEqual([])
    expect((await rows(phone)).map((row) => row.state)).toEqual(['here', 'kept'])
    server.refuse.clear()
    await phone.outbox.retry(refused?.id ?? '')
    await phone.round()
    await delivered(server, phone, 2)
  })

  it('goes once where two records name it, as soon as one of them has arrived', async () => {
    const { server, phone } = await begin()
    const [first] = await saveShots(phone, [shot(1000)])
    await saveShots(phone, [shot(1000)])
    server.refuse.add(first?.id ?? '')
    await phone.round()
    await delivered(server, phone)
    expect(server.photos.patches).toHaveLength(1)
  })

  it('leaves a photo whose record the server holds back for later, and sends the next', async () => {
    const { server, phone } = await begin()
    const held = shot(1000, 1)
    await saveShots(phone, [held])
    await saveShots(phone, [shot(1000, 2)])
    server.fault = ({ path }, answer) => (path.includes(held.sha256) ? json(problem('unknown-photo', 404), 404) : answer())
    expect((await phone.round()).paused).toBeNull()
    expect((await rows(phone)).map((row) => [row.state, row.problem?.code])).toEqual([['here', 'unknown-photo'], ['kept', undefined]])
    server.fault = null
    await phone.round()
    await delivered(server, phone, 2)
  })
})

describe('a photo that is cut off', () => {
  const faults = { offline, answerLost, signInPage, badGateway, truncated, signedOut }
  const slow = { 'slow-down': 429, 'disk-full': 507, busy: 503 }
  const codes = Object.entries(slow).map(([code, status]) => [code, () => json(problem(code, status), status)] as [string, Fault])

  it.each([...Object.entries(faults), ...codes])('goes on where it stopped, at any request: %s', async (_, fault) => {
    for (const place of [0, 1, 2, 3]) {
      const { server, phone } = await begin()
      await phone.round()
      const taken = shot(2 * CHUNK + 1000)
      await saveShots(phone, [taken], [glue()])
      // The requests before it: push, pull, then as many of the photo's as go well.
      server.faults.push(...Array.from({ length: 2 + place }, () => well), fault)
      await phone.round()
      const [row] = await rows(phone)
      expect(row?.bytes).toEqual(taken.bytes)
      expect(['here', 'sending']).toContain(row?.state)
      server.faults.length = 0
      await phone.round()
      await delivered(server, phone)
      const again = server.photos.patches.reduce((sum, { length }) => sum + length, 0) - taken.bytes.byteLength
      expect(again).toBe(0)
    }
  })

  it('begins the round again where another database answered', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(2 * CHUNK)])
    server.faults.push(well, well, well, well, well, otherServer)
    expect((await phone.round()).paused).toBeNull()
    await delivered(server, phone)
  })

  it('says that records are sent where only photos are declined, and why a photo waits', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(1000)], [glue()])
    server.fault = onPatch(() => json(problem('disk-full', 507), 507))
    expect(await phone.round()).toEqual({ paused: null, problem: null })
    expect(await rows(phone)).toMatchObject([{ state: 'here', problem: { code: 'disk-full' } }])
    server.fault = onPhotos(offline)
    expect((await phone.round()).paused).toBe('offline')
    server.fault = null
    await phone.round()
    await delivered(server, phone)
  })

  it('takes the server’s word for where to go on, forward or back', async () => {
    const { server, phone } = await begin()
    const taken = shot(3 * CHUNK)
    await saveShots(phone, [taken])
    // Another tab sends the first chunk between our question and our first answer.
    server.faults.push(well, well, well, well, (_, answer) => {
      server.photos.append(taken.sha256, new Uint8Array(taken.bytes, 0, CHUNK))
      return answer()
    })
    // And the server loses all of it once.
    server.faults.push(well, (_, answer) => {
      server.photos.arrived.delete(taken.sha256)
      return answer()
    })
    await phone.round()
    await delivered(server, phone)
    expect(server.photos.patches.map(({ at }) => at / CHUNK)).toEqual([0, 1, 2, 0, 1, 2])
  })

  it('is left for another round by a server that never goes on', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(1000)])
    server.fault = onPatch(() => json({ ...problem('wrong-offset', 409), received: 0 }, 409))
    expect((await phone.round()).paused).toBeNull()
    expect(await rows(phone)).toMatchObject([{ state: 'here' }])
  })
})

describe('what else waits', () => {
  it('goes before the next chunk', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(4 * CHUNK)])
    const order: string[] = []
    let rounds: Promise<unknown> = Promise.resolve()
    server.fault = ({ path }, answer) => {
      const what = /me$|push|pull|state/.exec(path)?.[0] ?? 'chunk'
      order.push(what)
      if (order.filter((one) => one === 'chunk').length !== 2 || what !== 'chunk') return answer()
      // A check is saved while the second chunk is under way, and a round asked for as on every save.
      return phone.save(check()).then(() => {
        rounds = phone.round()
        return answer()
      })
    }
    await phone.round()
    await rounds
    const half = ['push', 'pull', 'state', 'chunk', 'chunk']
    expect(order).toEqual(['me', ...half, ...half])
    await delivered(server, phone)
  })

  it('is also whatever asks for another round, such as a person who wants what is new', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(3 * CHUNK)])
    const asked = paths(server)
    const listed = server.fault
    let again: Promise<unknown> | null = null
    server.fault = (request, answer) => {
      if (/photos\/\w+$/.test(request.path)) again ??= phone.round()
      return listed?.(request, answer) ?? answer()
    }
    await phone.round()
    await again
    const kinds = asked.map((path) => /me$|push|pull|state/.exec(path)?.[0] ?? 'chunk')
    expect(kinds).toEqual(['me', 'push', 'pull', 'state', 'chunk', 'pull', 'state', 'chunk', 'chunk'])
    await delivered(server, phone)
  })

  it('is seen also where another tab saved it', async () => {
    const { server, phone } = await begin()
    await saveShots(phone, [shot(4 * CHUNK)])
    server.fault = onPatch((_, answer) => phone.save(check()).then(answer))
    await phone.round()
    expect(server.photos.patches).toHaveLength(1)
    expect(await rows(phone)).toMatchObject([{ state: 'sending', sent: CHUNK }])
    server.fault = null
    await phone.round()
    await delivered(server, phone)
  })
})
