import { describe, expect, it } from 'vitest'
import { numberText } from '../stock/lineage.ts'
import type { BarePhone } from '../sync/bare-phone.ts'
import { begin, glue, id } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { colourIn, familiesIn } from './asking.ts'
import { inReadingOrder } from './tree.ts'

const [COLONY, CHILD, GRAND] = [id(1), id(2), id(3)]
const [FIRST, SECOND] = [id(11), id(12)]

const note = (piece: string, text: string, about?: 'colour'): AnyDraft => ({
  kind: 'note', subject: { kind: 'piece', id: piece }, body: { text, about },
})
const cut = (of: string, mother: string): AnyDraft => ({
  kind: 'cut', subject: { kind: 'cut', id: of }, body: { sitting: id(99), mother, method: 'method.band-saw' },
})

async function farm(arrival: { origin: 'wild' | 'farmed'; cut_number?: number }): Promise<BarePhone> {
  const { phone } = await begin()
  const settings = { list: 'settings', fields: { zone: 'Indian/Maldives', wild_number: 1 } } as const
  await phone.save(
    { kind: 'define', subject: { kind: 'item', id: 'settings' }, body: settings },
    { kind: 'arrival', subject: { kind: 'piece', id: COLONY }, body: { line: 'Amber', species: 'species.lobo', ...arrival } },
    cut(FIRST, COLONY),
    glue(CHILD, { cut: FIRST }),
    cut(SECOND, CHILD),
    glue(GRAND, { cut: SECOND }),
  )
  return phone
}

describe('the families on a phone', () => {
  it('know line, cut number and the farm’s own date of each cut', async () => {
    const families = await (await farm({ origin: 'wild' })).db.read(familiesIn)
    const read = inReadingOrder(families, COLONY)
    expect(read.map(({ piece }) => [piece?.line, piece && numberText(piece.number)])).toEqual([
      ['Amber', '1'], ['Amber', '2'], ['Amber', '3'],
    ])
    expect(families.branches.get(FIRST)?.day).toBe('2026-03-01')
  })

  it('count on from what a bought colony was said to be, or from what nobody knows', async () => {
    const last = async (number?: number) => {
      const families = await (await farm({ origin: 'farmed', cut_number: number })).db.read(familiesIn)
      const piece = families.members.get(GRAND)?.piece
      return piece && numberText(piece.number)
    }
    expect([await last(4), await last()]).toEqual(['6', '?+2'])
  })

  it('are there though a cut was taken back that pieces name', async () => {
    const phone = await farm({ origin: 'wild' })
    const made = await phone.db.read((tx) => tx.objectStore('cuts').get(SECOND))
    await phone.save({ kind: 'retract', subject: { kind: 'record', id: made?.record ?? '' }, body: { why: 'wrong' } })
    const families = await phone.db.read(familiesIn)
    expect(families.branches.get(SECOND)).toMatchObject({ gone: true, pieces: [GRAND] })
  })
})

describe('notes on colour', () => {
  it('are those about colour that stand, oldest first, of the pieces asked for', async () => {
    const phone = await farm({ origin: 'wild' })
    const [, , wrong] = await phone.save(
      note(CHILD, 'Greener than her mother', 'colour'),
      note(CHILD, 'Stands loose'),
      note(CHILD, 'Red', 'colour'),
      note(COLONY, 'Orange with a green rim', 'colour'),
      note(GRAND, 'Not asked for', 'colour'),
    )
    await phone.save({ kind: 'retract', subject: { kind: 'record', id: wrong?.id ?? '' }, body: { why: 'wrong piece' } })
    const notes = await phone.db.read((tx) => colourIn(tx, [COLONY, CHILD]))
    expect(notes.map(({ piece, text }) => [piece, text])).toEqual([
      [CHILD, 'Greener than her mother'], [COLONY, 'Orange with a green rim'],
    ])
  })
})
