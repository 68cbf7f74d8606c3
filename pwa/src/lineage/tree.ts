/**
 * Families as trees: a mother, her cuts, the pieces glued from each, and what was cut from those.
 * Pure, and without recursion: neither a long line of mothers nor one that closes on itself may
 * hang a phone. Closed pieces have only their state here, which suffices.
 */
import { inOrderOfBeginning, type CutFact, type PieceFact } from './facts.ts'
import { starts, type Odd, type Starts } from './starts.ts'
import { add, none, one, type Tally } from './tally.ts'

export type { CutFact, PieceFact } from './facts.ts'
export type { Odd } from './starts.ts'

/** What was glued from one cut of a mother. */
export interface Branch {
  readonly id: string
  readonly mother: string
  /** The local date; null where the cut itself is not on this phone. */
  readonly day: string | null
  readonly method: string | null
  /** Its record was taken back or refused, and pieces still name it. */
  readonly gone: boolean
  readonly pieces: readonly string[]
  /** Those pieces. */
  readonly own: Tally
  /** Those pieces and all that was cut from them, over all generations. */
  readonly all: Tally
}

export interface Member<P extends PieceFact = PieceFact> {
  readonly id: string
  /** Null where the phone knows of it only through what was cut from it. */
  readonly piece: P | null
  readonly mother: string | null
  /** The cut it was glued from, in this tree. */
  readonly cut: string | null
  /** At the top of its tree. */
  readonly root: string
  /** Cuts between it and the top. */
  readonly generation: number
  readonly odd: Odd | null
  readonly cuts: readonly Branch[]
  /** All that was cut from it over all generations, itself left out. */
  readonly below: Tally
  /** How many generations lie below. */
  readonly deep: number
}

export interface Families<P extends PieceFact = PieceFact> {
  readonly members: ReadonlyMap<string, Member<P>>
  readonly branches: ReadonlyMap<string, Branch>
  /** At the top of each tree, the earliest first. */
  readonly roots: readonly string[]
}

type Open<T> = { -readonly [K in keyof T]: T[K] }

/** All trees that pieces and cuts make. Each piece stands in exactly one of them, and once. */
export function plant<P extends PieceFact>(pieces: readonly P[], cuts: readonly CutFact[]): Families<P> {
  const known = new Map(pieces.map((piece) => [piece.id, piece]))
  const from = gather(pieces)
  const begun = starts(known, cuts)
  const members = new Map<string, Open<Member<P>>>()
  const branches = new Map<string, Open<Branch>>()
  const queue = begun.roots.map((id) => fresh(id, known, null, null, begun))
  for (let at = 0; at < queue.length; at += 1) {
    const member = queue[at] as Open<Member<P>>
    members.set(member.id, member)
    member.cuts = (begun.cutsOf.get(member.id) ?? []).map((cut) => {
      const children = (from.get(cut.id) ?? []).filter((id) => !begun.odd.has(id))
      queue.push(...children.map((id) => fresh(id, known, member, cut.id, begun)))
      const branch = { ...cut, pieces: children, own: none(), all: none() }
      branches.set(cut.id, branch)
      return branch
    })
  }
  sum(queue, members)
  return { members, branches, roots: begun.roots }
}

/** By cut, the pieces glued from it in the order of gluing. */
function gather(pieces: readonly PieceFact[]): Map<string, string[]> {
  const from = new Map<string, string[]>()
  for (const { id, state } of [...pieces].sort(inOrderOfBeginning)) {
    if (state.cut === null) continue
    const list = from.get(state.cut)
    if (list) list.push(id)
    else from.set(state.cut, [id])
  }
  return from
}

function fresh<P extends PieceFact>(
  id: string,
  known: ReadonlyMap<string, P>,
  mother: Member<P> | null,
  cut: string | null,
  begun: Starts,
): Open<Member<P>> {
  return {
    id,
    piece: known.get(id) ?? null,
    mother: mother?.id ?? null,
    cut,
    root: mother?.root ?? id,
    generation: mother === null ? 0 : mother.generation + 1,
    odd: begun.odd.get(id) ?? null,
    cuts: [],
    below: none(),
    deep: 0,
  }
}

/** Counts from the last generation upward: `queue` holds each mother before her pieces. */
function sum<P extends PieceFact>(queue: readonly Open<Member<P>>[], members: ReadonlyMap<string, Open<Member<P>>>): void {
  for (const member of [...queue].reverse()) {
    for (const branch of member.cuts as readonly Open<Branch>[]) {
      for (const id of branch.pieces) {
        const child = members.get(id) as Member<P>
        branch.own = add(branch.own, one(child.piece?.state ?? null))
        branch.all = add(branch.all, child.below)
        member.deep = Math.max(member.deep, child.deep + 1)
      }
      branch.all = add(branch.all, branch.own)
      member.below = add(member.below, branch.all)
    }
  }
}

/** Mothers of a member, the top of the tree first. */
export function above<P extends PieceFact>({ members }: Families<P>, id: string): Member<P>[] {
  const found: Member<P>[] = []
  let at = members.get(id)?.mother ?? null
  while (at !== null) {
    const mother = members.get(at)
    if (!mother) break
    found.push(mother)
    at = mother.mother
  }
  return found.reverse()
}

/** A tree's members as they are read: each mother, then what was cut from her, cut after cut. */
export function inReadingOrder<P extends PieceFact>({ members }: Families<P>, root: string): Member<P>[] {
  const found: Member<P>[] = []
  const stack = [root]
  for (let id = stack.pop(); id !== undefined; id = stack.pop()) {
    const member = members.get(id)
    if (!member) continue
    found.push(member)
    stack.push(...member.cuts.flatMap((branch) => branch.pieces).reverse())
  }
  return found
}
