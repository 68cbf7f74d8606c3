import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { fold } from '../stock/fold.ts'
import { fixture } from '../stock/fixtures.ts'
import type { PieceState } from '../stock/state.ts'
import { FakeServer } from '../sync/fake-server.ts'
import { getMeta, setMeta } from '../sync/meta.ts'
import { device, glue, id, phoneOn, PIECE } from '../sync/trial.ts'
import { reread, vocabulary } from '../sync/vocabulary.ts'
import { isKnown, SUBJECTS, type Entry, type WireRecord } from './kinds.ts'
import { lifted, LIFTS, versionOf } from './lift.ts'

interface File {
  readonly cases: readonly { readonly name: string; readonly record: WireRecord; readonly today: object | null }[]
  readonly fold: { readonly piece: string; readonly zone: string; readonly entries: readonly Entry[]; readonly state: PieceState }
}
const { cases, fold: history } = fixture<File>('lift/check.json')

/** The same two steps as in Python. */
const STEPS = {
  1: ({ open, ...rest }: Readonly<Record<string, unknown>>) => ({ mouth: open === true ? 'open' : 'none', ...rest }),
  2: ({ covered, ...rest }: Readonly<Record<string, unknown>>) => ({
    ...rest,
    ...(typeof covered === 'number' && { encrustation: Math.floor(covered / 25) }),
  }),
}

afterEach(() => void delete LIFTS['check'])

describe('versions of kinds', () => {
  it('are all the first today', () => {
    expect(Object.keys(SUBJECTS).map(versionOf)).toEqual(Object.keys(SUBJECTS).map(() => 1))
  })

  it('leave a record of today the very object it was', () => {
    const [record] = history.entries.map((entry) => entry.record)
    expect(record && lifted(record)).toBe(record)
  })
})

describe('an older version', () => {
  beforeEach(() => void (LIFTS['check'] = STEPS))

  it.each(cases)('is read as today’s, or not at all: $name', ({ record, today }) => {
    const before = structuredClone(record)
    const read = lifted(record)
    expect(isKnown(read) ? read.body : null).toEqual(today)
    if (today) expect(read).toEqual({ ...record, v: 3, body: today })
    expect(record).toEqual(before)
  })

  it('folds together with today’s as in Python', () => {
    const entries = history.entries.map(({ at, record }) => ({ at, record: lifted(record) }))
    expect(fold(history.piece, entries, new Set(), history.zone)).toEqual(history.state)
  })
})

describe('on a phone', () => {
  const sent = (number: number, v: number, body: object): WireRecord =>
    ({
      id: id(number), kind: 'check', v, subject: { kind: 'piece', id: PIECE },
      observed: { at: `2026-03-0${number}T10:00:00.000Z`, offset: 300, zone: 'Indian/Maldives' },
      staff: 'staff.bo', device: 'device.two', device_seq: number, body,
    }) as unknown as WireRecord
  const old = [sent(2, 1, { open: false, covered: 30 }), sent(3, 2, { mouth: 'open', covered: 75 }), sent(4, 3, { recession: 'rim' })]

  async function fetched() {
    const server = new FakeServer()
    const phone = await phoneOn(server, device('2026-02-28T10:00:00Z'))
    await phone.save(glue())
    for (const record of old) server.log.push({ seq: server.log.length + 1, at: Date.parse(record.observed.at), record })
    await phone.round()
    return { server, phone }
  }

  it('an old record is kept as it came, folded and shown as today’s', async () => {
    LIFTS['check'] = STEPS
    const { phone } = await fetched()
    const piece = await phone.piece(PIECE)
    expect(piece?.state).toMatchObject({ mouth: 'open', encrustation: 3, recession: 'rim', checks: 3 })
    expect(piece?.records.slice(1).map(({ record }) => [record.v, record.body])).toEqual([
      [3, { mouth: 'none', encrustation: 1 }],
      [3, { mouth: 'open', encrustation: 3 }],
      [3, { recession: 'rim' }],
    ])
    const rows = await phone.db.read((tx) => tx.objectStore('records').index('piece').getAll(PIECE))
    expect(rows.map((row) => row.record).filter((record) => record.kind === 'check')).toEqual(old)
  })

  it('an old record in the line goes out as it was made', async () => {
    const { server, phone } = await fetched()
    const [made] = await phone.save({ kind: 'check', subject: { kind: 'piece', id: PIECE }, body: { open: true } as never })
    LIFTS['check'] = STEPS
    expect((await phone.outbox.waiting())[0]?.record.body).toEqual({ mouth: 'open' })
    await phone.round()
    expect(server.log.at(-1)?.record).toEqual(made)
    expect(made).toMatchObject({ v: 1, body: { open: true } })
  })

  it('a newer record counts for nothing until a newer app folds everything again, once', async () => {
    const { phone } = await fetched()
    // This app knows version 1 alone: two records are of a newer one.
    expect((await phone.piece(PIECE))?.state).toMatchObject({ checks: 1, recession: null })
    await reread(phone.db)
    const before = vocabulary()
    expect(await phone.db.read((tx) => getMeta(tx, 'vocabulary'))).toBe(before)
    LIFTS['check'] = STEPS
    await reread(phone.db)
    expect((await phone.piece(PIECE))?.state).toMatchObject({ mouth: 'open', encrustation: 3, recession: 'rim', checks: 3 })
    expect(vocabulary()).toBe(before.replace('check.1', 'check.3'))
    // Known by its mark: nothing is folded again while that stands.
    await phone.db.write((tx) => tx.objectStore('pieces').clear())
    await reread(phone.db)
    expect(await phone.piece(PIECE)).toBeNull()
    await phone.db.write((tx) => setMeta(tx, 'vocabulary', undefined))
    await reread(phone.db)
    expect((await phone.piece(PIECE))?.state.checks).toBe(3)
  })
})
