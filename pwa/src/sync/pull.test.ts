import { describe, expect, it } from 'vitest'
import type { BodyOf } from '../records/kinds.ts'
import type { BarePhone } from './bare-phone.ts'
import { FakeServer, json, offline, problem, truncated } from './fake-server.ts'
import { getMeta } from './meta.ts'
import { findByCode, findByPlace, findCut, findPieces } from './queries.ts'
import { begin, check, device, glue, id, loss, phoneOn, PIECE } from './trial.ts'
import type { AnyDraft } from './views.ts'

/** Two phones of one farm; the second has recorded and sent. */
async function two(...drafts: AnyDraft[]): Promise<{ server: FakeServer; here: BarePhone; there: BarePhone }> {
  const { server, phone: here } = await begin()
  const other = new FakeServer('staff.bo', 'device.two')
  other.log = server.log
  const there = await phoneOn(other, device('2026-02-20T10:00:00Z'))
  if (drafts.length > 0) await there.save(...drafts)
  await there.round()
  return { server, here, there }
}

const ADA = { staff: 'staff.ada', device: 'device.one' }
const cursor = (phone: BarePhone) => phone.db.read((tx) => getMeta(tx, 'cursor'))

describe('fetching', () => {
  it('brings what others recorded, and the piece comes to the same on both phones', async () => {
    const { here, there } = await two(glue(PIECE, { code: '4JQZKDMN', tray: 'tray.a1', place: 'B7' }), check())
    await here.round()
    expect((await here.piece(PIECE))?.state).toEqual((await there.piece(PIECE))?.state)
    expect(await here.db.read((tx) => findByCode(tx, '4JQZKDMN'))).toMatchObject({ id: PIECE, code: '4JQZKDMN' })
    expect(await here.db.read((tx) => findByPlace(tx, 'tray.a1', 'B7'))).toMatchObject([{ id: PIECE }])
    expect(await here.db.read((tx) => findPieces(tx, { stages: ['healing'] }))).toMatchObject([{ id: PIECE }])
    expect(await here.db.read((tx) => findPieces(tx, { stages: ['ready'] }))).toEqual([])
  })

  it('goes page by page and takes up where it was cut off', async () => {
    const { server, here } = await two(glue(), ...Array.from({ length: 24 }, () => check()))
    server.page = 10
    const well = (_: unknown, answer: () => Response) => answer()
    server.faults.push(well, well, truncated)
    expect((await here.round()).paused).toBe('not-ours')
    expect((await here.piece(PIECE))?.state.checks).toBe(9)
    expect(await cursor(here)).toBe(`${server.epoch}.10`)
    expect(await here.db.read((tx) => getMeta(tx, 'more'))).toBe(true)
    await here.round()
    expect((await here.piece(PIECE))?.state).toEqual(server.state(PIECE))
  })

  it('is used without a network from what has come so far', async () => {
    const { server, here } = await two(glue())
    await here.round()
    server.fault = offline
    await here.save(check())
    expect((await here.piece(PIECE))?.state).toMatchObject({ checks: 1, mouth: 'open' })
  })

  it('starts from nothing where the cursor is no good', async () => {
    const { server, here } = await two(glue())
    await here.db.write((tx) => tx.objectStore('meta').put('wrong.1', 'cursor'))
    expect((await here.round()).paused).toBeNull()
    expect(await cursor(here)).toBe(`${server.epoch}.1`)
    expect((await here.piece(PIECE))?.state.stage).toBe('healing')
  })

  it.each([
    ['entries that are no entries', { entries: [{ seq: 1, at: 1 }], pieces: [] }],
    ['states that are no states', { entries: [], pieces: [{ id: 7 }] }],
    ['no list at all', { entries: null, pieces: [] }],
    ['more, and no way on', { entries: [], pieces: [], more: true, cursor: 'here' }],
  ])('keeps nothing of a page that makes no sense: %s', async (_, rest) => {
    const { server, here } = await two()
    await here.db.write((tx) => tx.objectStore('meta').put('here', 'cursor'))
    server.fault = ({ path }, answer) =>
      path.includes('pull') ? json({ epoch: server.epoch, cursor: 'next', more: false, ...rest }) : answer()
    expect((await here.round()).paused).toBe('server')
    expect(await cursor(here)).toBe('here')
  })

  it('takes a record out of the line that is in the log though its answer was lost', async () => {
    const { server, phone } = await begin()
    const [glued] = await phone.save(glue())
    server.log.push({ seq: 1, at: Date.parse(glued?.observed.at ?? ''), record: glued as never })
    server.faults.push((_, answer) => answer(), () => json(problem('slow-down', 429), 429))
    await phone.round()
    expect(await phone.outbox.waiting()).toEqual([])
  })
})

describe('records that are taken back', () => {
  it('count for nothing, whichever of the two comes first', async () => {
    const { server, here, there } = await two(glue(), check())
    const checked = server.log[1]?.record.id ?? ''
    await there.outbox.retract([checked], 'wrong piece', { staff: 'staff.bo', device: 'device.two' })
    await there.round()
    const [glued, check1, retracted] = server.log
    server.log.splice(0, 3, glued as never, { ...retracted, seq: 2 } as never, { ...check1, seq: 3 } as never)
    server.page = 1
    await here.round()
    const piece = await here.piece(PIECE)
    expect(piece?.state).toMatchObject({ checks: 0, mouth: null })
    expect(piece?.records.map((one) => one.retracted)).toEqual([false, true])
  })
})

describe('a retraction of a newer version', () => {
  it('takes nothing back, whichever of the two comes first', async () => {
    const { server, here, there } = await two(glue(), check())
    const checked = server.log[1]?.record.id ?? ''
    await there.outbox.retract([checked], 'wrong piece', { staff: 'staff.bo', device: 'device.two' })
    await there.round()
    const [glued, check1, retracted] = server.log
    const newer = { ...retracted, record: { ...retracted?.record, v: 2 } }
    for (const [first, second] of [[check1, newer], [newer, check1]]) {
      const { server: again, phone } = await begin()
      again.log.push(glued as never, { ...first, seq: 2 } as never, { ...second, seq: 3 } as never)
      again.page = 1
      await phone.round()
      expect((await phone.piece(PIECE))?.state).toMatchObject({ checks: 1 })
    }
    expect(await here.piece(PIECE)).toBeNull()
  })
})

describe('closed pieces, which come without their records', () => {
  async function closed(): Promise<{ server: FakeServer; here: BarePhone; there: BarePhone }> {
    const both = await two(glue(), check(), loss())
    both.server.closed.add(PIECE)
    await both.here.round()
    return both
  }

  it('are known by their state', async () => {
    const { server, here } = await closed()
    const piece = await here.piece(PIECE)
    expect(piece?.state).toEqual(server.state(PIECE))
    expect(piece?.records).toEqual([])
  })

  it('take what is seen of them later on top, and come alive again', async () => {
    const { server, here } = await closed()
    const [later] = await here.save(check(PIECE, { mouth: 'bud' }))
    const piece = await here.piece(PIECE)
    expect(Date.parse(later?.observed.at ?? '')).toBeGreaterThan(server.state(PIECE).last_at)
    expect(piece?.state).toMatchObject({ stage: 'healing', checks: 2, mouth: 'bud' })
    expect(piece?.state.flags.map((flag) => flag.what)).toEqual(['seen-after-loss'])
  })

  it('are whole when all their records come after all', async () => {
    const { server, here, there } = await closed()
    await there.save(check())
    await there.round()
    server.closed.clear()
    for (const [index, entry] of [...server.log].entries()) server.log.push({ ...entry, seq: 10 + index })
    await here.round()
    const piece = await here.piece(PIECE)
    expect(piece?.records).toHaveLength(4)
    expect(piece?.state).toEqual((await there.piece(PIECE))?.state)
    // Only with all its records here can an old one be taken back without asking the server.
    await here.outbox.retract([piece?.records[1]?.record.id ?? ''], 'wrong piece', ADA)
    expect((await here.piece(PIECE))?.state.checks).toBe(1)
  })

  it('stand by the phone’s own fold where it has all the records, unsent ones included', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check(), loss())
    await phone.round()
    await phone.save(check())
    server.closed.add(PIECE)
    await phone.db.write((tx) => tx.objectStore('meta').delete('cursor'))
    server.faults.push(() => json(problem('slow-down', 429), 429))
    await phone.round()
    const piece = await phone.piece(PIECE)
    expect(piece?.records).toHaveLength(4)
    expect(piece?.state).toMatchObject({ stage: 'healing', checks: 2 })
    await phone.outbox.retract([piece?.records[1]?.record.id ?? ''], 'wrong piece', ADA)
    expect((await phone.piece(PIECE))?.state).toMatchObject({ stage: 'healing', checks: 1 })
  })
})

describe('own records under a state that came without records', () => {
  it('are not counted a second time', async () => {
    const { server, here } = await two(glue())
    await here.round()
    await here.save(check(), check(), loss())
    await here.round()
    server.closed.add(PIECE)
    server.epoch = 'c'.repeat(32)
    await here.round()
    expect((await here.piece(PIECE))?.state).toEqual(server.state(PIECE))
    expect((await here.piece(PIECE))?.state.checks).toBe(2)
  })

  it('that were taken back here and not yet there do not make the phone’s own fold give way', async () => {
    const { server, phone } = await begin()
    const [, checked] = await phone.save(glue(), check(), loss())
    await phone.round()
    await phone.outbox.retract([checked?.id ?? ''], 'wrong piece', ADA)
    server.closed.add(PIECE)
    await phone.db.write((tx) => tx.objectStore('meta').delete('cursor'))
    server.faults.push(() => json(problem('slow-down', 429), 429))
    await phone.round()
    expect((await phone.piece(PIECE))?.state).toMatchObject({ stage: 'lost', checks: 0 })
  })
})

describe('cuts', () => {
  const CUT = id(0xc001)
  const MOTHER = id(0xa0)
  const made: BodyOf<'cut'> = { sitting: id(0xd001), mother: MOTHER, method: 'method.band-saw' }
  const cut: AnyDraft = { kind: 'cut', subject: { kind: 'cut', id: CUT }, body: made }
  const end: AnyDraft = { kind: 'cut_end', subject: { kind: 'cut', id: CUT }, body: { remains: 'used-up' } }
  const arrival: AnyDraft = {
    kind: 'arrival',
    subject: { kind: 'piece', id: MOTHER },
    body: { line: 'Amber 3', species: 'species.one', origin: 'wild' },
  }

  it('give a piece its species, line and number from the colony, and use the mother up', async () => {
    const { here } = await two(arrival, cut, glue(), end)
    await here.round()
    expect(await here.piece(PIECE)).toMatchObject({
      species: 'species.one',
      line: 'Amber 3',
      number: { base: 0, plus: 1 },
      lineage: [{ id: MOTHER, cut: CUT }],
    })
    expect((await here.piece(MOTHER))?.state).toMatchObject({ stage: 'exited', cuts: 1, exit: { how: 'cut-up' } })
    expect(await here.db.read((tx) => findCut(tx, CUT))).toMatchObject({ id: CUT, ended: { remains: 'used-up' } })
  })

  it('use the mother up also where the end of the cut comes before the cut', async () => {
    const { server, here } = await two(arrival, cut, glue(), end)
    const [first, second, third, fourth] = server.log.map((entry) => entry.record)
    const order = [fourth, third, second, first]
    server.log = order.map((record, index) => ({ seq: index + 1, at: 4 - index, record: record as never }))
    server.log = server.log.map((entry) => ({ ...entry, at: Date.parse(entry.record.observed.at) }))
    server.page = 1
    await here.round()
    expect((await here.piece(MOTHER))?.state).toMatchObject({ stage: 'exited', cuts: 1, exit: { how: 'cut-up' } })
  })
})
