import { beforeAll, describe, expect, it } from 'vitest'
import type { FieldValue } from '../records/fields.ts'
import { FakeServer } from '../sync/fake-server.ts'
import type { BarePhone } from '../sync/bare-phone.ts'
import { begin, device, phoneOn } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { moreWords } from '../words/index.ts'
import { readTold } from './asking.ts'
import type { EditedList } from './fields.ts'
import { historyOf, nameWithout, type Line } from './history.ts'
import { changeText } from './history-words.ts'

beforeAll(moreWords)

const ID = 'species.lobo'
const define = (fields: Record<string, FieldValue>, retired?: boolean, id = ID): AnyDraft => ({
  kind: 'define', subject: { kind: 'item', id }, body: { list: id.startsWith('tray') ? 'tray' : 'species', fields, ...(retired !== undefined && { retired }) },
})
const takeBack = (id: string | undefined, why: string): AnyDraft => ({ kind: 'retract', subject: { kind: 'record', id: id ?? '' }, body: { why } })
const told = (phone: BarePhone, id = ID) => phone.db.read((tx) => readTold(tx, id))
const item = (phone: BarePhone, id = ID) => phone.db.read((tx) => tx.objectStore('items').get(id))
const find = (id: string) => (id === 'tank.north' ? ({ id, list: 'tank', fields: { name: 'North' }, retired: false, tank: null, at: 0 } as const) : undefined)
const said = (line: Line, list: EditedList = 'species') => line.changes.map((change) => changeText(list, change, find))

describe('the history of a list entry', () => {
  it('is told newest first: what, from what to what, by whom, and what was taken back and why', async () => {
    const { phone } = await begin()
    await phone.save(define({ name: 'Lobo', form: 'massive', check_days: 7, toxic: false }))
    const [second] = await phone.save(define({ check_days: 10, sale_mouth: 'open', sale_signs: ['algae', 'brown-jelly'] }))
    await phone.save(define({ check_days: 14, toxic: true }, true))
    await phone.save(takeBack(second?.id, 'too seldom'), define({ check_days: 14 }))
    const lines = historyOf(await told(phone))
    expect(lines.map((line) => said(line))).toEqual([
      [],
      ['Check every … days: 7 → 14', 'Can be poisonous: show the caution before each cut: no → yes', 'Not offered any more'],
      ['Check every … days: 7 → 10', 'Ready for sale, mouth, at least: Open', 'Ready for sale, signs that speak against it: algae, brown jelly'],
      ['Scientific name: Lobo', 'Growth form: Massive or crusting, many mouths', 'Check every … days: 7'],
    ])
    expect(lines.map(({ staff, sent, first, back }) => [staff, sent, first, back && [back.staff, back.why]])).toEqual([
      ['staff.ada', 'waiting', false, null],
      ['staff.ada', 'waiting', false, null],
      ['staff.ada', 'waiting', false, ['staff.ada', 'too seldom']],
      ['staff.ada', 'waiting', true, null],
    ])
    expect((await item(phone))?.fields).toMatchObject({ check_days: 14, toxic: true })
    expect((await item(phone))?.fields).not.toHaveProperty('sale_mouth')
  })

  it('where two leads changed one entry apart, the later field wins and both are in it', async () => {
    const server = new FakeServer()
    const one = await phoneOn(server, device('2026-03-01T10:00:00Z'))
    await one.save(define({ name: 'Lobo', check_days: 7, rest_days: 180 }))
    await one.round()
    server.me = server.person('staff.bo', 'device.two')
    const two = await phoneOn(server, device('2026-03-01T11:00:00Z'))
    await two.round()
    // Neither hears of the other. The earlier change is the last to arrive.
    await two.save(define({ check_days: 21 }))
    await one.save(define({ check_days: 14, rest_days: 200 }))
    await two.round()
    server.me = server.person('staff.ada', 'device.one')
    await one.round()
    server.me = server.person('staff.bo', 'device.two')
    await two.round()
    for (const phone of [one, two]) {
      expect((await item(phone))?.fields).toEqual({ name: 'Lobo', check_days: 21, rest_days: 200 })
      expect(historyOf(await told(phone)).map((line) => [line.staff, said(line)])).toEqual([
        ['staff.bo', ['Check every … days: 14 → 21']],
        ['staff.ada', ['Check every … days: 7 → 14', 'Rest between two cuts, days: 180 → 200']],
        ['staff.ada', ['Scientific name: Lobo', 'Check every … days: 7', 'Rest between two cuts, days: 180']],
      ])
    }
  })

  it('what the server will not have is shown and counts for nothing', async () => {
    const { server, phone } = await begin()
    await phone.save(define({ name: 'Lobo', check_days: 7 }))
    const [bad] = await phone.save(define({ check_days: 9 }))
    server.refuse.add(bad?.id ?? '')
    await phone.round()
    await phone.save(define({ check_days: 8 }))
    expect(historyOf(await told(phone)).map((line) => [line.sent, said(line)[0]])).toEqual([
      ['waiting', 'Check every … days: 7 → 8'], ['refused', 'Check every … days: 7 → 9'], ['sent', 'Scientific name: Lobo'],
    ])
  })

  it('of a tray tells where it was stood', async () => {
    const { phone } = await begin()
    await phone.save(define({ name: 'A1' }, undefined, 'tray.a1'), { kind: 'move', subject: { kind: 'tray', id: 'tray.a1' }, body: { tank: 'tank.north' } })
    expect(historyOf(await told(phone, 'tray.a1')).map((line) => said(line, 'tray'))).toEqual([['Stands in North'], ['Name: A1']])
  })

  it('knows what the entry would be called without a change', async () => {
    const { phone } = await begin()
    const [first] = await phone.save(define({ name: 'Lobo' }))
    const [second] = await phone.save(define({ name: 'Lobophyllia', check_days: 3 }))
    const records = await told(phone)
    expect([first, second].map((one) => nameWithout(records, one?.id ?? ''))).toEqual(['Lobophyllia', 'Lobo'])
  })
})
