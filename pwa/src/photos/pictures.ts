/** Which pictures a piece has, and which two of them say the most. Pure. */
import { inOrder, type RecordOf } from '../records/kinds.ts'
import { daysBetween, localDay } from '../stock/days.ts'

/** A `photo` record that stands. */
export interface Taken {
  readonly at: number
  readonly record: RecordOf<'photo'>
}

export interface Picture {
  readonly record: string
  readonly sha256: string
  readonly at: number
  /** The local date on which it was taken. */
  readonly date: string
  /** Since the piece was glued or arrived; null where that is not known. */
  readonly day: number | null
  /** Of the piece itself, of the whole tray it was glued into, or of the cut it comes from. */
  readonly of: 'piece' | 'tray' | 'cut'
  /** The tray's key where it is of one. */
  readonly tray: string | null
}

export interface Album {
  readonly own: readonly Taken[]
  /** Of the tray that the piece was glued into. */
  readonly tray: readonly Taken[]
  readonly cut: readonly Taken[]
  /** The local date of gluing or arriving. */
  readonly began: string | null
}

/**
 * A piece's pictures, oldest first: its own, those of its cut, and where it has none of its own of
 * the day it was glued, the last one of its tray from that day.
 */
export function pictures({ own, tray, cut, began }: Album, zone: string): Picture[] {
  const dated = (of: Picture['of']) => (taken: Taken): Picture & { readonly taken: Taken } => {
    const { record } = taken
    const date = localDay(taken.at, zone)
    // A picture taken at gluing is of day 0 though the phone's clock went over midnight.
    const day = began === null ? null : record.body.day0 ? 0 : daysBetween(began, date)
    return { taken, record: record.id, sha256: record.body.sha256, at: taken.at, date, day, of, tray: of === 'tray' ? record.subject.id : null }
  }
  const mine = own.map(dated('piece'))
  const first = tray.filter((taken) => localDay(taken.at, zone) === began).sort(inOrder).slice(-1).map(dated('tray'))
  const all = [...cut.map(dated('cut')), ...mine, ...(mine.some(({ day }) => day === 0) ? [] : first)]
  return all.sort((a, b) => inOrder(a.taken, b.taken)).map(({ taken: _, ...picture }) => picture)
}

/** The first picture, of day 0 if there is one, and the last; null where there is none or no other. */
export function thenAndNow(list: readonly Picture[]): readonly [Picture | null, Picture | null] {
  const own = list.filter(({ of }) => of === 'piece')
  const began = [...own, ...list.filter(({ of }) => of === 'tray')]
  const then = began.find(({ day }) => day === 0) ?? own[0] ?? list[0] ?? null
  const last = own.at(-1) ?? list.at(-1) ?? null
  return [then, last === then ? null : last]
}

/** Days from one picture to the other; null where one is missing. */
export function daysApart(then: Picture | null, now: Picture | null): number | null {
  return then && now ? daysBetween(then.date, now.date) : null
}
