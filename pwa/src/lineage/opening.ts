/** Which parts of a tree are open. What is closed is not drawn at all. Pure. */
import type { PieceFact } from './facts.ts'
import { fateOf, FATES, type Fate } from './tally.ts'
import { above, type Branch, type Families, type Member } from './tree.ts'

/** So many pieces are still seen at a glance; more are grouped, or shown a page at a time. */
export const FEW = 12
export const PAGE = 24
/** More mothers of one cut than these are put away together: each takes more room than a piece. */
const SEVERAL = 4

export const cutKey = (cut: string): string => `cut ${cut}`
export const motherKey = (id: string): string => `mother ${id}`
export const groupKey = (cut: string, group: Fate | 'again'): string => `${group} ${cut}`

const GROUPS = ['again', ...FATES] as const

export interface Laid<P extends PieceFact> {
  /** Pieces that were cut themselves, each with its own cuts. Of many only those that are sought. */
  readonly mothers: readonly Member<P>[]
  /** The other mothers, where they are many. */
  readonly again: readonly Member<P>[]
  /** The pieces that were not cut, where they are few, else empty. */
  readonly leaves: readonly Member<P>[]
  /** Those by their fate where they are many. */
  readonly groups: readonly { readonly fate: Fate; readonly leaves: readonly Member<P>[] }[]
}

/** How the pieces of a cut are laid out. */
export function laid<P extends PieceFact>({ members }: Families<P>, branch: Branch, sought: (id: string) => boolean): Laid<P> {
  const all = branch.pieces.flatMap((id) => members.get(id) ?? [])
  const mothers = all.filter(({ cuts }) => cuts.length > 0)
  const leaves = all.filter(({ cuts }) => cuts.length === 0)
  const apart = (one: Member<P>) => mothers.length <= SEVERAL || sought(one.id)
  const groups = FATES.map((fate) => ({ fate, leaves: leaves.filter((leaf) => fateIn(leaf) === fate) }))
  return {
    mothers: mothers.filter(apart),
    again: mothers.filter((one) => !apart(one)),
    leaves: leaves.length <= FEW ? leaves : [],
    groups: leaves.length <= FEW ? [] : groups.filter((group) => group.leaves.length > 0),
  }
}

function fateIn({ piece }: Member): Fate {
  return piece === null ? 'other' : fateOf(piece.state)
}

/** What has to be open for a piece to be seen: from the top of its tree down. */
export function way<P extends PieceFact>(families: Families<P>, id: string): string[] {
  const down = [...above(families, id), families.members.get(id)].filter((one) => one !== undefined)
  const keys = down.slice(0, -1).map((mother) => motherKey(mother.id))
  for (const { cut } of down) if (cut !== null) keys.push(cutKey(cut))
  const last = down.at(-1)
  const branch = last?.cut == null ? undefined : families.branches.get(last.cut)
  if (last && branch && laid(families, branch, () => true).groups.some(({ leaves }) => leaves.includes(last))) {
    keys.push(groupKey(branch.id, fateIn(last)))
  }
  return keys
}

/** What is open on arriving at a piece: the way to it, and all of a family that is small. */
export function atFirst<P extends PieceFact>(families: Families<P>, id: string): string[] {
  const member = families.members.get(id)
  const root = member && families.members.get(member.root)
  if (!root) return []
  const keys = [motherKey(root.id), ...way(families, id), ...(member.cuts.length > 0 ? [motherKey(id)] : [])]
  if (root.below.pieces > PAGE) return keys
  for (const one of families.members.values()) {
    if (one.root !== root.id) continue
    const parts = one.cuts.flatMap(({ id: cut }) => [cutKey(cut), ...GROUPS.map((group) => groupKey(cut, group))])
    keys.push(motherKey(one.id), ...parts)
  }
  return keys
}

/** The first of a long list, with those on the way to what is sought among them, and before the others. */
export function page<T>(list: readonly T[], limit: number, sought: (one: T) => boolean): readonly T[] {
  if (list.length <= limit) return list
  const first = list.slice(0, limit)
  const hidden = list.slice(limit).filter(sought)
  return hidden.length === 0 ? first : [...hidden, ...first]
}
