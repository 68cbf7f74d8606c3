/** The farm's lines: each with the colonies it began with. Pure. */
import type { PieceView } from '../sync/views.ts'
import type { Woods } from './asking.ts'
import type { Member } from './tree.ts'
import { yieldOfAll, type Yield } from './yields.ts'

export interface Line {
  /** Null for trees of which nobody knows what line they belong to. */
  readonly name: string | null
  readonly species: readonly string[]
  readonly roots: readonly Member<PieceView>[]
  readonly given: Yield
  /** Pieces it has come to, colonies included. */
  readonly pieces: number
}

const collator = new Intl.Collator(undefined, { numeric: true })

/** By name; what is not known comes last. */
export function linesOf(woods: Woods): Line[] {
  const byName = new Map<string | null, Member<PieceView>[]>()
  for (const id of woods.roots) {
    const root = woods.members.get(id)
    if (!root) continue
    const name = root.piece?.line ?? null
    byName.set(name, [...(byName.get(name) ?? []), root])
  }
  return [...byName]
    .map(([name, roots]) => line(woods, name, roots))
    .sort((a, b) => Number(a.name === null) - Number(b.name === null) || collator.compare(a.name ?? '', b.name ?? ''))
}

function line(woods: Woods, name: string | null, roots: readonly Member<PieceView>[]): Line {
  const given = yieldOfAll(woods, roots.map(({ id }) => id))
  const species = [...new Set(roots.flatMap(({ piece }) => piece?.species ?? []))]
  const pieces = given.led.pieces + roots.filter(({ piece }) => piece !== null).length
  return { name, species, roots, given, pieces }
}
