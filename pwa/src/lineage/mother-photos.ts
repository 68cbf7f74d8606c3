/** Which of a mother's pictures stands beside a piece. Pure. */
import type { Picture } from '../photos/pictures.ts'
import { daysBetween } from '../stock/days.ts'

/** Pictures of the animal itself: a whole tray or a cut face shows no colour to compare by. */
export function ofItself(list: readonly Picture[]): Picture[] {
  return list.filter(({ of }) => of === 'piece')
}

/** The picture taken nearest to a date, the earlier of two as near; the last one without a date. */
export function nearest(list: readonly Picture[], date: string | null): Picture | null {
  if (date === null) return list.at(-1) ?? null
  const far = (one: Picture) => Math.abs(daysBetween(one.date, date))
  return [...list].sort((a, b) => far(a) - far(b) || a.at - b.at)[0] ?? null
}
