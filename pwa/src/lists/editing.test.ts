import 'fake-indexeddb/auto'
import { afterEach, beforeAll, describe, expect, it } from 'vitest'
import { FakeServer } from '../sync/fake-server.ts'
import { draft, phone } from '../sync/phone.svelte.ts'
import { id } from '../sync/trial.ts'
import { moreWords } from '../words/index.ts'
import { Editing } from './editing.svelte.ts'

const server = new FakeServer()

beforeAll(async () => {
  await moreWords()
  // Nothing is sent: this phone has no network.
  await phone.setMe(server.person('staff.ada', 'device.one'))
})
afterEach(() => expect(phone.broken).toBeNull())

const bodies = async (editing: Editing, retired?: boolean) => (await editing.drafts(retired))?.map(({ kind, subject, body }) => [kind, subject.id, body])

describe('changing a list entry', () => {
  it('records what was changed and nothing else', async () => {
    await phone.define('species', 'species.lobo', { name: 'Lobo', form: 'massive', check_days: 7 })
    const editing = new Editing('species', phone.item('species.lobo') ?? null)
    expect(await bodies(editing)).toEqual([])
    editing.set('check_days', '9')
    editing.set('sale_encrustation', '3')
    expect(await bodies(editing)).toEqual([['define', 'species.lobo', { list: 'species', fields: { check_days: 9, sale_encrustation: 3 } }]])
  })

  it('what another changed meanwhile is taken over, but for what was touched here', async () => {
    const editing = new Editing('species', phone.item('species.lobo') ?? null)
    editing.set('check_days', '21')
    await phone.define('species', 'species.lobo', { check_days: 14, rest_days: 90 })
    editing.follow(phone.item('species.lobo') as never)
    expect([editing.typed['check_days'], editing.typed['rest_days']]).toEqual(['21', '90'])
    expect(await bodies(editing)).toEqual([['define', 'species.lobo', { list: 'species', fields: { check_days: 21 } }]])
  })

  it('refuses a name that is taken, retired or not, and numbers that are none', async () => {
    await phone.define('cause', 'cause.heat', { name: 'Heat' }, true)
    const editing = new Editing('cause', null)
    editing.set('name', ' heat')
    expect([await editing.drafts(), editing.problem]).toEqual([null, '“heat” is in this list already. Nothing was saved.'])
    const species = new Editing('species', phone.item('species.lobo') ?? null)
    species.set('sale_checks', '0')
    expect([await species.drafts(), species.problem]).toEqual([null, 'Checks in a row: write a whole number from 1 to 9. Nothing was saved.'])
    species.set('sale_checks', '')
    species.set('check_days', '0')
    expect([await species.drafts(), species.problem]).toEqual([null, 'Check every … days: write a whole number from 1 to 365. Nothing was saved.'])
  })

  it('asks once more before a tray in use is retired or made smaller, and then does it', async () => {
    await phone.define('tray', 'tray.a1', { name: 'A1', columns: 8, rows: 8 })
    const subject = { kind: 'piece', id: id(0xa009) } as const
    await phone.recordAll([draft('glue', subject, { cut: id(0xc001), base: 'base.hex', purpose: 'sale', tray: 'tray.a1', place: 'C3' })])
    const editing = new Editing('tray', phone.item('tray.a1') ?? null)
    editing.set('columns', '2')
    expect(await editing.drafts()).toBeNull()
    expect(editing.asked).toEqual({ text: '1 piece stands beyond B8: C3. Nothing is lost: it keeps its place, but the map will not have it. Tap once more to go on.', retire: false })
    // What was asked for one size is no answer for another.
    editing.set('columns', '1')
    expect([await editing.drafts(), editing.asked?.text.slice(0, 32)]).toEqual([null, '1 piece stands beyond A8: C3. No'])
    expect(await bodies(editing)).toEqual([['define', 'tray.a1', { list: 'tray', fields: { columns: 1 } }]])
    const retiring = new Editing('tray', phone.item('tray.a1') ?? null)
    expect([await retiring.drafts(true), retiring.asked?.retire]).toEqual([null, true])
    expect(await bodies(retiring, true)).toEqual([['define', 'tray.a1', { list: 'tray', fields: {}, retired: true }]])
    expect(await bodies(retiring, false)).toEqual([['define', 'tray.a1', { list: 'tray', fields: {}, retired: false }]])
  })

  it('a method is taken as by hand by its name until somebody has said', async () => {
    await phone.define('method', 'method.chisel', { name: 'Chisel' })
    const editing = new Editing('method', phone.item('method.chisel') ?? null)
    expect([editing.typed['by_hand'], await bodies(editing)]).toEqual([true, []])
    editing.set('by_hand', false)
    expect(await bodies(editing)).toEqual([['define', 'method.chisel', { list: 'method', fields: { by_hand: false } }]])
  })
})
