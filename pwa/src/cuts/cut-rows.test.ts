import { beforeEach, expect, it } from 'vitest'
import type { BarePhone } from '../sync/bare-phone.ts'
import { begin, glue, id } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { baseFor, rowsIn } from './cut-rows.ts'

const [MOTHER, OTHER, GONE] = [id(0xe1), id(0xe2), id(0xe3)]
const [MORNING, NOON] = [id(0x51), id(0x52)]
const arrival = (piece: string, line: string): AnyDraft => ({
  kind: 'arrival', subject: { kind: 'piece', id: piece }, body: { line, species: 'species.a', origin: 'farmed' },
})
const cut = (key: string, mother: string, sitting: string): AnyDraft => ({
  kind: 'cut', subject: { kind: 'cut', id: key }, body: { sitting, mother, method: 'method.a' },
})
const end = (key: string): AnyDraft => ({ kind: 'cut_end', subject: { kind: 'cut', id: key }, body: { remains: 'same-base' } })

let phone: BarePhone
beforeEach(async () => {
  phone = (await begin()).phone
  await phone.save(arrival(MOTHER, 'Amber'), arrival(OTHER, 'Slate'))
  await phone.save(cut(id(1), MOTHER, MORNING), cut(id(2), OTHER, MORNING), cut(id(3), MOTHER, NOON), cut(id(4), GONE, NOON))
  await phone.save(glue(id(0xa1), { cut: id(1) }), glue(id(0xa2), { cut: id(1) }), glue(id(0xa3), { cut: id(3) }), end(id(2)))
})

const told = async (asked: Parameters<typeof rowsIn>[1], most = 9) => {
  const { rows, all } = await phone.db.read((tx) => rowsIn(tx, asked, most))
  return [all, ...rows.map(({ cut: one, mother, glued }) => [one.id, mother?.line ?? null, one.ended?.remains ?? null, ...glued.map((piece) => piece.id)])]
}

it('are the newest first, each with its mother, how it ended and what was glued from it', async () => {
  const rows = [
    [id(4), null, null], [id(3), 'Amber', null, id(0xa3)], [id(2), 'Slate', 'same-base'], [id(1), 'Amber', null, id(0xa1), id(0xa2)],
  ]
  expect(await told({})).toEqual([4, ...rows])
  expect(await told({}, 2)).toEqual([4, ...rows.slice(0, 2)])
})

it('are those of a mother, or the open ones of a sitting, where they are asked for', async () => {
  expect((await told({ mother: MOTHER })).slice(1).map((row) => (row as unknown[])[0])).toEqual([id(3), id(1)])
  expect((await told({ openIn: MORNING })).slice(1).map((row) => (row as unknown[])[0])).toEqual([id(1)])
})

it('go on with the base kind of the last piece, else the one chosen last, else the first listed', () => {
  const listed = ['base.a', 'base.b', 'base.c']
  expect(baseFor('base.c', 'base.b', listed)).toBe('base.c')
  expect(baseFor(null, 'base.b', listed)).toBe('base.b')
  expect([baseFor(null, 'base.gone', listed), baseFor(null, null, listed), baseFor(null, null, [])]).toEqual(['base.a', 'base.a', ''])
})
