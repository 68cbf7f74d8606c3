/** What waits for a person: disagreements with both of their records, labels, and refused records. */
import { describe, expect, it } from 'vitest'
import { moreWords } from '../words/index.ts'
import { fileParts, readFile } from './outbox-file.ts'
import { disagreements } from './disagreements.ts'
import { FakeServer, offline, problem } from './fake-server.ts'
import { getMeta } from './meta.ts'
import { Phone } from './phone.svelte.ts'
import { findRobbed } from './queries.ts'
import { begin, check, glue, id, loss, PIECE } from './trial.ts'
import type { AnyDraft, WholePiece } from './views.ts'

let count = 0
const piece = { kind: 'piece', id: PIECE } as const
const GLUE = { cut: id(0xc001), base: 'base.hex-40', purpose: 'sale' } as const
const move = (tray: string): AnyDraft => ({ kind: 'move', subject: piece, body: { tray } })

async function told(...drafts: AnyDraft[]) {
  const { phone } = await begin()
  const saved = await phone.save(...drafts)
  const whole = (await phone.piece(PIECE)) as WholePiece
  return { saved, found: disagreements(whole).map(({ what, records }) => [what, records.map((one) => one?.record.id ?? null)]) }
}

describe('a disagreement', () => {
  it('names the loss and the look that came after it', async () => {
    const { saved, found } = await told(glue(), loss(), check())
    expect(found).toEqual([['seen-after-loss', [saved[1]?.id, saved[2]?.id]]])
  })

  it('names the look before the gluing and the gluing itself', async () => {
    const { saved, found } = await told(check(), glue())
    expect(found).toEqual([['before-glue', [saved[0]?.id, saved[1]?.id]]])
  })

  it('names the look alone where no gluing is known yet', async () => {
    const { saved, found } = await told(check())
    expect(found).toEqual([['before-glue', [saved[0]?.id]]])
  })

  it('names both moves of one moment, and both beginnings', async () => {
    const { saved, found } = await told(glue(), glue(PIECE, { purpose: 'hold' }), move('tray.a1'), move('tray.a2'))
    expect(found).toEqual([
      ['begun-twice', [saved[0]?.id, saved[1]?.id]],
      ['moves-at-once', [saved[2]?.id, saved[3]?.id]],
    ])
  })

  it('has an empty place for a record that only the server has', async () => {
    const { phone } = await begin()
    await phone.save(glue(), loss())
    const whole = (await phone.piece(PIECE)) as WholePiece
    const flag = { what: 'seen-after-loss' as const, record: id(99), against: whole.records[1]?.record.id ?? null }
    const [one] = disagreements({ ...whole, state: { ...whole.state, flags: [flag] } })
    expect(one?.records.map((entry) => entry?.record.kind ?? null)).toEqual(['loss', null])
  })

  it('can be left as it is on this phone, and be shown again', async () => {
    const server = new FakeServer()
    const phone = new Phone(server.fetch, `look-${(count += 1)}`)
    await phone.setMe(server.person('staff.ada', 'device.one'))
    await phone.recordAll([glue(), loss(), check()])
    const [one] = (await phone.disagreements()).open
    await phone.settle(one?.key ?? '')
    expect(await phone.disagreements()).toMatchObject({ open: [], left: [{ key: one?.key, what: 'seen-after-loss' }] })
    await phone.settle(one?.key ?? '', false)
    expect((await phone.disagreements()).open).toHaveLength(1)
    // Taking one of the two back ends it.
    await phone.undo(one?.records[0]?.record.id ?? '', 'wrong piece')
    expect(await phone.disagreements()).toEqual({ open: [], left: [] })
  })
})

describe('a label that two pieces were given', () => {
  it('is told with the piece that has it and the one that has not', async () => {
    const { phone } = await begin()
    await phone.save(glue(PIECE, { code: '4JQZKDMN' }))
    await phone.save(glue(id(0xa002), { code: '4JQZKDMN' }))
    expect(await phone.db.read(findRobbed)).toMatchObject([
      { code: '4JQZKDMN', piece: { id: id(0xa002), code: null }, holder: { id: PIECE, code: '4JQZKDMN' } },
    ])
  })
})

describe('a refused record', () => {
  async function refused(code: string) {
    const server = new FakeServer()
    const phone = new Phone(server.fetch, `look-${(count += 1)}`)
    await phone.setMe(server.person('staff.ada', 'device.one'))
    await phone.sync()
    server.fault = offline
    const made = await phone.recordAll([glue(), check()])
    const poison = made[1]?.id ?? ''
    server.fault = async ({ path, body }, answer) => {
      if (!path.endsWith('push') || !body?.records.length) return answer()
      server.refuse.add(poison)
      const reply = (await answer().json()) as { answers: { id: string; answer: string }[] }
      const answers = reply.answers.map((one) => (one.answer === 'refused' ? { ...one, problem: problem(code, 409) } : one))
      return new Response(JSON.stringify({ ...reply, answers }))
    }
    await phone.sync()
    return { server, phone, poison }
  }

  it.each(['id-reused', 'retract-of-retract', 'bad-record'])('is shown with its problem: %s', async (code) => {
    const { phone, poison } = await refused(code)
    expect(await phone.waiting()).toMatchObject([{ record: { id: poison }, state: 'refused', problem: { code } }])
    expect((await phone.piece(PIECE))?.records.map((one) => one.sent)).toEqual(['sent', 'refused'])
  })

  it('is sent again when asked for, and in a saved file', async () => {
    await moreWords()
    const { server, phone, poison } = await refused('bad-record')
    const file = readFile((await fileParts(phone, phone)).join(''))
    expect(file.records).toMatchObject([{ id: poison }])
    server.fault = null
    server.refuse.clear()
    await phone.retry(poison)
    await phone.sync()
    expect([server.log.at(-1)?.record.id, await phone.waiting()]).toEqual([poison, []])
  })

  it('is let go of without a retraction, and stays on the phone struck through', async () => {
    const { server, phone, poison } = await refused('id-reused')
    await phone.drop([poison])
    expect(await phone.waiting()).toEqual([])
    await phone.sync()
    expect(server.log.map((entry) => entry.record.kind)).toEqual(['glue'])
    expect((await phone.piece(PIECE))?.records.map((one) => [one.sent, one.retracted])).toEqual([['sent', false], ['refused', true]])
    expect((await phone.piece(PIECE))?.state.checks).toBe(0)
    // Nothing sends it again: not a gap that the server sees, nor another database.
    server.missing = [2]
    await phone.check(PIECE, {})
    await phone.sync()
    server.epoch = 'e'.repeat(32)
    server.log = []
    await phone.sync()
    expect(server.log.map((entry) => entry.record.device_seq)).toEqual([1, 3])
    expect(await phone.waiting()).toEqual([])
    expect((await phone.piece(PIECE))?.state.checks).toBe(1)
    expect(await phone.read((tx) => getMeta(tx, 'loss'))).toBeUndefined()
  })

  it('is let go of by the undo that was offered when it was saved', async () => {
    const { server, phone, poison } = await refused('bad-record')
    expect(await phone.undoAll([poison], 'undone at once')).toEqual([])
    expect(await phone.waiting()).toEqual([])
    await phone.sync()
    expect(server.log.map((entry) => entry.record.kind)).toEqual(['glue'])
  })

  it('that still waits is taken back by a record of its own', async () => {
    const server = new FakeServer()
    const phone = new Phone(server.fetch, `look-${(count += 1)}`)
    await phone.setMe(server.person('staff.ada', 'device.one'))
    server.fault = offline
    const glued = await phone.record('glue', piece, GLUE)
    expect((await phone.undoAll([glued.id], 'undone at once')).map((one) => one.kind)).toEqual(['retract'])
    await phone.drop([glued.id])
    expect((await phone.waiting()).map((one) => one.record.kind)).toEqual(['glue', 'retract'])
  })
})
