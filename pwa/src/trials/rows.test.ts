import { expect, it } from 'vitest'
import type { BarePhone } from '../sync/bare-phone.ts'
import { FakeServer } from '../sync/fake-server.ts'
import { device, glue, id, phoneOn } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { block } from './draw.ts'
import { progressOf } from './progress.ts'
import { findGlued, findLot, findPart } from './rows.ts'
import { planOf, readTrial, type Trial } from './trial.ts'

const MOTHER = id(0xee)
const FIELDS = { name: 'Tiles', varies: 'base', arms: ['base.a', 'base.b'], endpoint: 'lost', difference: 10, cuts: 8, seed: 'seed', begins: '2026-01-01' }
const define = (fields: Partial<typeof FIELDS>): AnyDraft => ({ kind: 'define', subject: { kind: 'item', id: 'trial.t' }, body: { list: 'trial', fields: { ...FIELDS, ...fields } } })
const cut = (key: string, method = 'method.a', trial = 'trial.t'): AnyDraft => ({
  kind: 'cut', subject: { kind: 'cut', id: key }, body: { sitting: id(0x5), mother: MOTHER, method, ...(trial && { trial }) },
})
const retract = (record: string): AnyDraft => ({ kind: 'retract', subject: { kind: 'record', id: record }, body: { why: 'slip' } })

const armOf = async (phone: BarePhone, key: string) => (await phone.db.read((tx) => findLot(tx, key)))?.arm ?? ''
const trialOf = async (phone: BarePhone) => readTrial(await phone.db.read((tx) => tx.objectStore('items').get('trial.t'))) as Trial
let made = 0xb000

/** Glue pieces of the cut as they are drawn; their records. */
async function glueSome(phone: BarePhone, key: string, count: number): Promise<{ record: string; arm: string }[]> {
  const found = []
  for (let n = 0; n < count; n += 1) {
    const arm = await armOf(phone, key)
    const [record] = await phone.save(glue(id((made += 1)), { cut: key, base: arm, arm }))
    found.push({ record: record?.id ?? '', arm })
  }
  return found
}

async function twoPhones(): Promise<[BarePhone, BarePhone]> {
  const [one, two] = [new FakeServer('staff.a', 'device.a'), new FakeServer('staff.b', 'device.b')]
  two.log = one.log
  return [await phoneOn(one), await phoneOn(two, device('2026-03-01T10:00:30Z'))]
}

it('a piece taken back and glued again gets the same arm, whichever it was', async () => {
  const [phone] = await twoPhones()
  await phone.save(define({}), cut(id(1)))
  const glued = await glueSome(phone, id(1), 5)
  const expected = await armOf(phone, id(1))
  for (const { record, arm } of glued) {
    await phone.save(retract(record))
    expect(await armOf(phone, id(1))).toBe(arm)
    await glueSome(phone, id(1), 1)
    expect(await armOf(phone, id(1))).toBe(expected)
  }
})

it('goes on where it was in another cut of the same mother, and looks at no other comparison', async () => {
  const [phone] = await twoPhones()
  await phone.save(define({}), cut(id(1)), cut(id(2)), cut(id(3), 'method.a', 'trial.other'), cut(id(4), 'method.a', ''))
  const plan = planOf(await trialOf(phone))
  const sequence = [0, 1, 2, 3].flatMap((number) => block(plan, MOTHER, number))
  const glued = [...(await glueSome(phone, id(1), 2)), ...(await glueSome(phone, id(2), 3))]
  expect(glued.map(({ arm }) => arm)).toEqual(sequence.slice(0, 5))
  expect([await armOf(phone, id(3)), await armOf(phone, id(4)), await armOf(phone, id(9))]).toEqual(['', '', ''])
})

it('two phones offline on one mother: both stand, and the next draws make up for it', async () => {
  const [one, two] = await twoPhones()
  await one.save(define({}), cut(id(1)))
  await one.round()
  await two.round()
  const both = [await glueSome(one, id(1), 3), await glueSome(two, id(1), 3)]
  expect(both[0]?.map(({ arm }) => arm)).toEqual(both[1]?.map(({ arm }) => arm))
  for (const phone of [one, two, one]) await phone.round()
  const counts = async () => progressOf(await trialOf(one), await one.db.read((tx) => findGlued(tx, 'trial.t'))).arms.map((arm) => arm.pieces)
  const off = await counts()
  expect(off.reduce((sum, n) => sum + n, 0)).toBe(6)
  // Three pieces alone are two and one, so six are four and two.
  expect(off.sort()).toEqual([2, 4])
  expect(await armOf(one, id(1))).toBe(await armOf(two, id(1)))
  await glueSome(one, id(1), 6)
  const after = await counts()
  expect(Math.abs((after[0] ?? 0) - (after[1] ?? 0))).toBeLessThanOrEqual(2)
})

it('draws whole parts of a mother where methods are compared, each once a round', async () => {
  const [phone] = await twoPhones()
  await phone.save(define({ varies: 'method', arms: ['method.a', 'method.b', 'method.c'] }))
  const trial = await trialOf(phone)
  const next = () => phone.db.read((tx) => findPart(tx, trial, MOTHER))
  const drawn: string[] = []
  for (let n = 1; n <= 6; n += 1) {
    const lot = await next()
    expect(lot.part).toEqual({ number: ((n - 1) % 3) + 1, of: 3 })
    const [record] = await phone.save(cut(id(n), lot.arm))
    expect(await phone.db.read((tx) => findLot(tx, id(n)))).toEqual(lot)
    // Begun by mistake, taken back and begun again: the same.
    await phone.save(retract(record?.id ?? ''))
    expect(await next()).toEqual(lot)
    await phone.save(cut(id(100 + n), n === 2 ? 'method.x' : lot.arm), glue(id((made += 1)), { cut: id(100 + n), arm: lot.arm }))
    drawn.push(lot.arm)
  }
  expect([drawn.slice(0, 3).sort(), drawn.slice(3).sort()]).toEqual([trial.arms, trial.arms])
  const progress = progressOf(trial, await phone.db.read((tx) => findGlued(tx, 'trial.t')))
  expect(progress.arms.map(({ arm, pieces, otherwise }) => [arm, pieces, otherwise])).toEqual(trial.arms.map((arm) => [arm, 2, arm === drawn[1] ? 1 : 0]))
})

it('counts what became of the pieces by the arm that was drawn, and what was done otherwise', async () => {
  const [phone] = await twoPhones()
  await phone.save(define({}), cut(id(1)))
  const piece = (n: number) => ({ kind: 'piece', id: id(0xc0 + n) }) as const
  await phone.save(
    glue(piece(1).id, { cut: id(1), base: 'base.a', arm: 'base.a' }),
    glue(piece(2).id, { cut: id(1), base: 'base.b', arm: 'base.a' }),
    glue(piece(3).id, { cut: id(1), base: 'base.b', arm: 'base.b' }),
    glue(piece(4).id, { cut: id(1), base: 'base.b', arm: 'base.b' }),
    glue(piece(5).id, { cut: id(1), base: 'base.b' }),
    glue(piece(6).id, { cut: id(1), base: 'base.z', arm: 'base.z' }),
    { kind: 'ready', subject: piece(1), body: { for: 'sale' } },
    { kind: 'loss', subject: piece(2), body: { how: 'dead' } },
    { kind: 'exit', subject: piece(3), body: { how: 'given' } },
  )
  const glued = await phone.db.read((tx) => findGlued(tx, 'trial.t'))
  const row = { cuts: 1, pieces: 2, healing: 0, ready: 0, lost: 0, left: 0, otherwise: 0 }
  expect(progressOf(await trialOf(phone), glued)).toEqual({
    cuts: 1,
    pieces: 5,
    undrawn: 1,
    arms: [
      { ...row, arm: 'base.a', ready: 1, lost: 1, otherwise: 1 },
      { ...row, arm: 'base.b', left: 1, healing: 1 },
      { ...row, arm: 'base.z', pieces: 1, healing: 1 },
    ],
  })
  // A piece that was cut itself and put on another base since was glued as drawn all the same.
  await phone.save(
    { kind: 'cut', subject: { kind: 'cut', id: id(7) }, body: { sitting: id(6), mother: piece(1).id, method: 'method.a' } },
    { kind: 'cut_end', subject: { kind: 'cut', id: id(7) }, body: { remains: 'new-base', base: 'base.b' } },
  )
  const again = await phone.db.read((tx) => findGlued(tx, 'trial.t'))
  expect(again.find(({ state }) => state.ready_sale)?.done.base).toBe('base.a')
})

it('a cut that was taken back is no part of a mother any more, and nothing is drawn for it', async () => {
  const [phone] = await twoPhones()
  await phone.save(define({ varies: 'method', arms: ['method.a', 'method.b'] }))
  const [made] = await phone.save(cut(id(0xc1)))
  expect(await armOf(phone, id(0xc1))).toMatch(/^method\.[ab]$/)
  await phone.save(retract(made?.id ?? ''))
  expect(await phone.db.read((tx) => findLot(tx, id(0xc1)))).toBeNull()
})
