/** The first fetching of a whole farm, over a line that goes dead and in an app that is closed. */
import { afterEach, describe, expect, it, vi } from 'vitest'
import type { SequencedEntry } from '../records/kinds.ts'
import { BarePhone } from './bare-phone.ts'
import { FakeServer, offline, truncated } from './fake-server.ts'
import { Phone } from './phone.svelte.ts'
import { getMeta } from './meta.ts'
import { findPieces } from './queries.ts'
import { begin, check, device, glue, id } from './trial.ts'

afterEach(() => vi.restoreAllMocks())

const PAGE = 20
const PIECES = 40
let count = 0

/** A farm of pieces, each glued and looked at twice, recorded on another phone. */
async function farm(): Promise<SequencedEntry[]> {
  const { server, phone } = await begin()
  for (let number = 0; number < PIECES; number += 1) {
    const piece = id(0xb000 + number)
    await phone.save(glue(piece), check(piece), check(piece, { mouth: 'bud' }))
  }
  await phone.round()
  return server.log
}

/** A server that notes from where each page was asked for, and what pages were given whole. */
function asked(log: SequencedEntry[]): { server: FakeServer; from: string[] } {
  const server = new FakeServer('staff.bo', 'device.two')
  server.log = log
  server.page = PAGE
  const from: string[] = []
  server.fault = ({ path }, answer) => {
    if (path.includes('/pull')) from.push(new URL(path, 'https://farm.example').searchParams.get('after') ?? 'the start')
    return answer()
  }
  return { server, from }
}

/** Where each page begins; a last one that is full is followed by an empty one. */
function pagesOf({ epoch, log }: FakeServer): string[] {
  const places = Array.from({ length: Math.floor(log.length / PAGE) + 1 }, (_, page) => page * PAGE)
  return places.map((seq) => (seq === 0 ? 'the start' : `${epoch}.${seq}`))
}

describe('the first fetching', () => {
  it.each([['cut', truncated], ['never answered', offline]] as const)(
    'goes on at each page that is %s, and fetches none twice',
    async (_, fault) => {
      const { server, from } = asked(await farm())
      const name = `snapshot-${(count += 1)}`
      let phone = new BarePhone(server.fetch, name, device())
      await phone.signIn(server.person('staff.bo', 'device.two'))
      const whole = server.fault
      let rounds = 0
      for (let done = false; !done; rounds += 1) {
        // Every page is cut the first time it is asked for, and the app closed upon it.
        const seen = new Set(from)
        server.fault = (request, answer) => {
          const after = new URL(request.path, 'https://farm.example').searchParams.get('after') ?? 'the start'
          if (!request.path.includes('/pull') || seen.has(after)) return whole?.(request, answer) ?? answer()
          from.push(after)
          return fault(request, answer)
        }
        done = (await phone.round()).paused === null
        await phone.db.close()
        phone = new BarePhone(server.fetch, name, device())
      }
      const pages = pagesOf(server)
      expect(rounds).toBe(pages.length + 1)
      expect([...from].sort()).toEqual([...pages, ...pages].sort())
      for (const row of await phone.db.read((tx) => tx.objectStore('pieces').getAll())) expect(row.state).toEqual(server.state(row.id))
      expect(await phone.db.read((tx) => tx.objectStore('records').count())).toBe(server.log.length)
      expect(await phone.db.read((tx) => getMeta(tx, 'more'))).toBe(false)
    },
  )

  it('leaves a page half written down as if it had not come, and writes it whole the next time', async () => {
    const { server, from } = asked(await farm())
    server.page = 2000
    // Parts of 500: 1200 records of the last piece make a page of three.
    const last = server.log.at(-1) as SequencedEntry
    for (let number = 0; number < 1200; number += 1) {
      server.log.push({ ...last, seq: server.log.length + 1, record: { ...last.record, id: id(0xf0000 + number) } as never })
    }
    const phone = new BarePhone(server.fetch, `snapshot-${(count += 1)}`, device())
    await phone.signIn(server.person('staff.bo', 'device.two'))
    const real = phone.db.write.bind(phone.db)
    let parts = 0
    vi.spyOn(phone.db, 'write').mockImplementation((work) => {
      parts += 1
      // Signing in wrote already; the app is closed at the second part of the page.
      if (parts === 4) throw new RangeError('closed')
      return real(work)
    })
    await expect(phone.round()).rejects.toThrow(RangeError)
    vi.restoreAllMocks()
    expect(await phone.db.read((tx) => getMeta(tx, 'cursor'))).toBeUndefined()
    await phone.round()
    expect(from).toEqual(['the start', 'the start'])
    expect(await phone.db.read((tx) => tx.objectStore('records').count())).toBe(server.log.length)
    expect(await phone.db.read((tx) => getMeta(tx, 'cursor'))).toBe(`${server.epoch}.${server.log.length}`)
  })

  it('is used from the first page on, and says that more is to come until it has', async () => {
    const { server } = asked(await farm())
    const phone = new Phone(server.fetch, `snapshot-${(count += 1)}`)
    const whole = server.fault
    server.fault = (request, answer) => (request.path.includes('after=') ? offline(request, answer) : (whole?.(request, answer) ?? answer()))
    await phone.setMe(server.person('staff.bo', 'device.two'))
    expect(phone.filling).toBe(true)
    await phone.sync()
    const known = await phone.read((tx) => findPieces(tx, {}))
    expect([phone.filling, known.length]).toEqual([true, Math.ceil(PAGE / 3)])
    const made = await phone.check(known[0]?.id ?? '', { mouth: 'open' })
    expect((await phone.piece(known[0]?.id ?? ''))?.state.mouth).toBe('open')
    server.fault = whole
    await phone.sync()
    expect([phone.filling, (await phone.pieces()).length]).toEqual([false, PIECES])
    expect(server.log.at(-1)?.record).toEqual(made)
  })
})
