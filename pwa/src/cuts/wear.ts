/** What a blade has been through, so that a dull one is seen coming. Pure. */
import type { Key } from '../records/fields.ts'
import type { CutView } from '../sync/views.ts'

export interface Wear {
  readonly cuts: number
  /** Of them, cuts of mothers that stood on a base, which the blade may have met: most first. */
  readonly onBases: readonly { readonly base: Key; readonly cuts: number }[]
}

/** `baseOf` is the base kind under a mother, null for a colony without one. A new blade is a new entry of the list. */
export function wear(cuts: readonly Pick<CutView, 'body'>[], blade: Key, baseOf: (mother: string) => Key | null): Wear {
  const own = cuts.filter((cut) => cut.body.blade === blade)
  const counts = new Map<Key, number>()
  for (const { body } of own) {
    const base = baseOf(body.mother)
    if (base !== null) counts.set(base, (counts.get(base) ?? 0) + 1)
  }
  const onBases = [...counts].map(([base, count]) => ({ base, cuts: count }))
  return { cuts: own.length, onBases: onBases.sort((a, b) => b.cuts - a.cuts || (a.base < b.base ? -1 : 1)) }
}
