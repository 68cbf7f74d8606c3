import { beforeAll, describe, expect, it } from 'vitest'
import type { ListName } from '../records/fields.ts'
import { begin, glue, id, loss } from '../sync/trial.ts'
import type { AnyDraft } from '../sync/views.ts'
import { moreWords } from '../words/index.ts'
import { readUsage } from './asking.ts'
import { beforeRetiring, beforeShrinking, NOTHING, usageText } from './usage.ts'

beforeAll(moreWords)

const define = (list: ListName, name: string, fields = {}): AnyDraft => ({ kind: 'define', subject: { kind: 'item', id: `${list}.${name}` }, body: { list, fields: { name, ...fields } } })
const MOTHER = id(0xa0ff)

async function farm() {
  const { phone } = await begin()
  await phone.save(
    define('tray', 'a1'), define('tank', 'north'), define('blade', 'ring', { method: 'method.saw' }), define('cause', 'heat'),
    { kind: 'move', subject: { kind: 'tray', id: 'tray.a1' }, body: { tank: 'tank.north' } },
    { kind: 'arrival', subject: { kind: 'piece', id: MOTHER }, body: { line: 'Amber', species: 'species.lobo', origin: 'wild' } },
    { kind: 'move', subject: { kind: 'piece', id: MOTHER }, body: { tank: 'tank.north' } },
    { kind: 'cut', subject: { kind: 'cut', id: id(0xc001) }, body: { sitting: id(1), mother: MOTHER, method: 'method.saw', blade: 'blade.ring' } },
    glue(id(2), { tray: 'tray.a1', place: 'B7' }), glue(id(3), { tray: 'tray.a1', place: 'C1' }), glue(id(4), { tray: 'tray.a1' }),
    { kind: 'loss', subject: { kind: 'piece', id: id(3) }, body: { how: 'dead', cause: 'cause.heat' } },
    loss(id(4)),
  )
  return phone
}

describe('how much a list entry is used', () => {
  it('is counted from what is on this phone', async () => {
    const phone = await farm()
    const used = async (list: ListName, name: string) => {
      const usage = await phone.db.read((tx) => readUsage(tx, { id: `${list}.${name}`, list, fields: {}, retired: false, tank: null, at: 0 }))
      return usageText(usage)
    }
    expect(await used('species', 'lobo')).toBe('4 pieces, 2 pieces still here.')
    expect(await used('base', 'hex-40')).toBe('3 pieces, 1 piece still here.')
    expect(await used('tray', 'a1')).toBe('3 pieces, 1 piece still here.')
    expect(await used('tank', 'north')).toBe('1 piece, 1 piece still here, 1 tray.')
    expect(await used('method', 'saw')).toBe('1 cut, 1 blade.')
    expect(await used('blade', 'ring')).toBe('1 cut.')
    expect(await used('cause', 'heat')).toBe('1 loss.')
    expect(await used('cause', 'cold')).toBe('Not used yet.')
  })

  it('asks once more before a tray, a tank or a species in use is retired', () => {
    const used = { ...NOTHING, pieces: 9, open: 3, trays: 1 }
    expect(beforeRetiring('tray', used)).toMatch(/^3 pieces stand in this tray\. .* Tap once more to go on\.$/)
    expect(beforeRetiring('tank', used)).toMatch(/^1 tray stands in this tank\. .* 3 pieces stand in this tank without a tray\. Tap/)
    expect(beforeRetiring('species', { ...used, open: 1 })).toMatch(/^1 piece of this species is still here\./)
    expect((['base', 'method', 'blade', 'cause'] as const).map((list) => beforeRetiring(list, used))).toEqual([null, null, null, null])
    expect((['tray', 'tank', 'species'] as const).map((list) => beforeRetiring(list, { ...NOTHING, pieces: 9 }))).toEqual([null, null, null])
  })

  it('names the places that a smaller tray would not have', () => {
    expect(beforeShrinking([], 'B2')).toBeNull()
    expect(beforeShrinking(['B7'], 'B2')).toBe('1 piece stands beyond B2: B7. Nothing is lost: it keeps its place, but the map will not have it. Tap once more to go on.')
    expect(beforeShrinking(['A8', 'A9', 'B7', 'C1', 'C2', 'C3', 'C4'], 'B2')).toMatch(/^7 pieces stand beyond B2: A8, A9, B7, C1, C2, C3, and more\./)
  })
})
