import { describe, expect, it } from 'vitest'
import type { SubjectOf } from '../records/kinds.ts'
import { begin, check, glue, id, PIECE } from '../sync/trial.ts'
import { picturesOf } from './album.ts'
import { daysApart, pictures, thenAndNow, type Album, type Picture, type Taken } from './pictures.ts'
import { photoDraft } from './shot.ts'
import { author, shot } from './trial-shots.ts'

const ZONE = 'Indian/Maldives'
const HOUR = 3_600_000
/** 03:00 in the farm's zone on the day of gluing. */
const START = Date.parse('2026-03-01T22:00:00Z')

function taken(name: string, hours: number, subject: SubjectOf<'photo'> = { kind: 'piece', id: 'p' }, day0?: boolean): Taken {
  const observed = { at: '', offset: 0, zone: ZONE }
  const body = { sha256: name, bytes: 1, media: 'image/jpeg', ...(day0 !== undefined && { day0 }) } as const
  return { at: START + hours * HOUR, record: { id: name, kind: 'photo', subject, observed, staff: '', device: '', device_seq: 1, body } }
}
const tray = (name: string, hours: number) => taken(name, hours, { kind: 'tray', id: 'tray.a1' })
const cut = (name: string, hours: number) => taken(name, hours, { kind: 'cut', id: 'c' })
const album = (more: Partial<Album>) => pictures({ own: [], tray: [], cut: [], began: '2026-03-02', ...more }, ZONE)
const told = (list: readonly Picture[]) => list.map(({ sha256, day, of }) => [sha256, day, of])

describe('a piece’s pictures', () => {
  it('are in order, with their days since gluing in the farm’s zone', () => {
    const list = album({ own: [taken('late', 24 * 40), taken('first', 2), taken('evening', 20.9), taken('next', 21)], cut: [cut('face', -3)] })
    expect(told(list)).toEqual([['face', 0, 'cut'], ['first', 0, 'piece'], ['evening', 0, 'piece'], ['next', 1, 'piece'], ['late', 40, 'piece']])
    expect(list.map(({ date }) => date)).toEqual(['2026-03-02', '2026-03-02', '2026-03-02', '2026-03-03', '2026-04-11'])
  })

  it('begin with the tray’s last picture of the day where there is none of its own', () => {
    const trays = [tray('morning', 1), tray('glued', 9), tray('day after', 30), tray('day before', -10)]
    expect(told(album({ own: [taken('later', 50)], tray: trays }))).toEqual([['glued', 0, 'tray'], ['later', 2, 'piece']])
    expect(album({ tray: trays })[0]).toMatchObject({ tray: 'tray.a1', of: 'tray' })
    expect(told(album({ own: [taken('own', 3)], tray: trays }))).toEqual([['own', 0, 'piece']])
    expect(told(album({ own: [taken('over midnight', 22, undefined, true)], tray: trays }))).toEqual([['over midnight', 0, 'piece']])
  })

  it('have no days where nothing says when it began', () => {
    expect(told(album({ own: [taken('one', 0)], tray: [tray('t', 0)], began: null }))).toEqual([['one', null, 'piece']])
  })
})

describe('then and now', () => {
  const pair = (more: Partial<Album>) => thenAndNow(album(more)).map((one) => one?.sha256 ?? null)

  it('are the first, of day 0 if there is one, and the last', () => {
    expect(pair({ own: [taken('a', 1), taken('b', 50), taken('c', 90)] })).toEqual(['a', 'c'])
    expect(pair({ own: [taken('before', -20), taken('zero', 1), taken('c', 90)] })).toEqual(['zero', 'c'])
    expect(pair({ own: [taken('b', 50), taken('c', 90)], tray: [tray('t', 2)] })).toEqual(['t', 'c'])
    expect(pair({ own: [taken('b', 50), taken('c', 90)], cut: [cut('face', -1)] })).toEqual(['b', 'c'])
  })

  it('leave empty what there is not', () => {
    expect(pair({})).toEqual([null, null])
    expect(pair({ own: [taken('a', 70)] })).toEqual(['a', null])
    expect(pair({ tray: [tray('t', 2)] })).toEqual(['t', null])
    expect(pair({ cut: [cut('face', -1)] })).toEqual(['face', null])
    expect(pair({ own: [taken('a', 1)], cut: [cut('face', 5)] })).toEqual(['a', null])
  })

  it('are so many days apart', () => {
    const [then, now] = thenAndNow(album({ own: [taken('a', 20), taken('b', 22)] }))
    expect([daysApart(then, now), daysApart(then, null)]).toEqual([1, null])
  })
})

describe('pictures on the phone', () => {
  it('are those whose records stand, of the piece, the tray it was glued into and its cut', async () => {
    const { phone } = await begin()
    const shots = [1, 2, 3, 4, 5].map((seed) => shot(100, seed))
    const [own, onTray, other, face, late] = shots
    if (!own || !onTray || !other || !face || !late) throw new Error('no shots')
    const cutId = id(0xc001)
    await phone.save(glue(PIECE, { tray: 'tray.a1', place: 'B7' }))
    await phone.save({ kind: 'move', subject: { kind: 'piece', id: PIECE }, body: { tray: 'tray.b2' } }, check())
    const saved = await phone.outbox.save(
      [
        photoDraft(own, { kind: 'piece', id: PIECE }, true),
        photoDraft(onTray, { kind: 'tray', id: 'tray.a1' }),
        photoDraft(other, { kind: 'tray', id: 'tray.b2' }),
        photoDraft(face, { kind: 'cut', id: cutId }),
        photoDraft(late, { kind: 'piece', id: id(0xbeef) }),
      ],
      author,
      shots,
    )
    const list = () => phone.db.read((tx) => picturesOf(tx, PIECE))
    expect(told(await list())).toEqual([[own.sha256, 0, 'piece'], [face.sha256, 0, 'cut']])
    await phone.outbox.retract([saved[0]?.id ?? ''], 'wrong piece', author)
    expect(told(await list())).toEqual([[onTray.sha256, 0, 'tray'], [face.sha256, 0, 'cut']])
  })
})
