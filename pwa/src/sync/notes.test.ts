import { describe, expect, it } from 'vitest'
import { FakeServer } from './fake-server.ts'
import { getMeta } from './meta.ts'
import { sayings } from './notes.ts'
import { begin, check, glue } from './trial.ts'
import type { BarePhone } from './bare-phone.ts'
import type { PushReply } from './settle.ts'

const notes = (phone: BarePhone) => phone.db.read((tx) => getMeta(tx, 'notes'))
const HELD = 'Held until a lead admits it.'

/** The server takes everything, and holds the records of a batch that stand at these places. */
function holding(server: FakeServer, places: readonly number[], said: readonly string[] = [HELD]): void {
  server.fault = async ({ path }, answer) => {
    const before = [...server.log]
    const response = answer()
    if (!path.endsWith('push')) return response
    const reply = (await response.json()) as PushReply
    server.log = [...before, ...server.log.slice(before.length).filter((_, index) => !places.includes(index))]
    const answers = reply.answers.map((one) =>
      places.includes(one.index) ? { ...one, answer: 'later', seq: null, at: null, notes: said } : one,
    )
    return new Response(JSON.stringify({ ...reply, answers }))
  }
}

describe('a record that the server holds', () => {
  it('is delivered, and what was said of it stays until it is in the log', async () => {
    const { server, phone } = await begin()
    const [, checked] = await phone.save(glue(), check())
    holding(server, [1])
    expect(await phone.round()).toEqual({ paused: null, problem: null })
    expect(await phone.outbox.waiting()).toEqual([])
    const note = { record: checked?.id, staff: 'staff.ada', at: Date.parse('2026-03-01T00:00:00Z'), held: true, said: [HELD] }
    expect(await notes(phone)).toEqual([note])
    server.fault = null
    await phone.round()
    expect(await notes(phone)).toEqual([note])
    server.log.push({ seq: 7, at: Date.parse(checked?.observed.at ?? ''), record: checked as never })
    await phone.round()
    expect(await notes(phone)).toBeUndefined()
  })

  it('is not sent again though the server says no more of it', async () => {
    const { server, phone } = await begin()
    await phone.save(glue(), check())
    holding(server, [1], [])
    await phone.round()
    await phone.round()
    expect(server.pushes).toHaveLength(1)
    expect((await notes(phone))?.map((note) => [note.held, note.said])).toEqual([[true, []]])
  })
})

describe('what the server says of records it took', () => {
  it('is kept of the newest 200', async () => {
    const { server, phone } = await begin()
    const saved = await phone.save(...Array.from({ length: 230 }, () => check()))
    holding(server, Array.from({ length: 230 }, (_, index) => index))
    await phone.round()
    expect((await notes(phone))?.map((note) => note.record)).toEqual(saved.slice(-200).map((record) => record.id))
  })

  it('is told once a sentence, the newest first, with the records it is about', () => {
    const note = (record: string, ...said: string[]) => ({ record, said, staff: 's', at: 0, held: false })
    expect(sayings([note('a', 'clock'), note('b', 'held'), note('c', 'clock', 'twice')])).toEqual([
      { text: 'twice', records: ['c'] },
      { text: 'clock', records: ['a', 'c'] },
      { text: 'held', records: ['b'] },
    ])
  })
})
