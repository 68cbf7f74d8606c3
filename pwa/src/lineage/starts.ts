/** Where family trees begin: at colonies, and wherever nothing further up is known. Pure. */
import { inOrderOfBeginning, type CutFact, type PieceFact } from './facts.ts'

/** Why a tree begins with something that is no colony. */
export type Odd =
  | { readonly why: 'unheard-mother' } // her cuts are here and she is not
  | { readonly why: 'unheard-cut' } // pieces name a cut that is not here, so nobody knows their mother
  | { readonly why: 'no-beginning' } // neither its gluing nor its arrival is here
  | { readonly why: 'circle'; readonly mother: string } // it is said to come from its own descendant

export interface Starts {
  /** Earliest first. */
  readonly roots: readonly string[]
  readonly odd: ReadonlyMap<string, Odd>
  /** By mother, her cuts that stand or that pieces name, in order. */
  readonly cutsOf: ReadonlyMap<string, readonly CutFact[]>
}

export function starts(known: ReadonlyMap<string, PieceFact>, cuts: readonly CutFact[]): Starts {
  const named = new Set([...known.values()].flatMap(({ state }) => state.cut ?? []))
  const all = [...cuts.filter((cut) => !cut.gone || named.has(cut.id)), ...unheard(named, cuts)]
  const motherOf = new Map(all.map((cut) => [cut.id, cut.mother]))
  const up = (id: string) => motherOf.get(known.get(id)?.state.cut ?? '') ?? null
  const odd = new Map<string, Odd>(circles(known, up))
  for (const { mother, day } of all) {
    if (!known.has(mother)) odd.set(mother, { why: day === null ? 'unheard-cut' : 'unheard-mother' })
  }
  const tops = [...known.values()].filter(({ id, state }) => state.cut === null || odd.has(id)).sort(inOrderOfBeginning)
  for (const { id, state } of tops) {
    if (state.begun === null && !odd.has(id)) odd.set(id, { why: 'no-beginning' })
  }
  const absent = [...odd.keys()].filter((id) => !known.has(id)).sort()
  return { roots: [...tops.map(({ id }) => id), ...absent], odd, cutsOf: byMother(all) }
}

/** A cut that pieces name and the phone has not heard of: a mother without a name stands for hers. */
function unheard(named: ReadonlySet<string>, cuts: readonly CutFact[]): CutFact[] {
  const heard = new Set(cuts.map((cut) => cut.id))
  return [...named]
    .filter((id) => !heard.has(id))
    .map((id) => ({ id, mother: `of:${id}`, at: 0, day: null, method: null, gone: false }))
}

function byMother(cuts: readonly CutFact[]): Map<string, CutFact[]> {
  const found = new Map<string, CutFact[]>()
  for (const cut of [...cuts].sort((a, b) => a.at - b.at || (a.id < b.id ? -1 : 1))) {
    const list = found.get(cut.mother)
    if (list) list.push(cut)
    else found.set(cut.mother, [cut])
  }
  return found
}

/** Of each circle of mothers, the piece that began first, with her whom it is said to come from. */
function circles(known: ReadonlyMap<string, PieceFact>, up: (id: string) => string | null): [string, Odd][] {
  const found: [string, Odd][] = []
  const walked = new Set<string>()
  for (const first of known.keys()) {
    const path: string[] = []
    let at: string | null = first
    while (at !== null && known.has(at) && !walked.has(at)) {
      walked.add(at)
      path.push(at)
      at = up(at)
    }
    const from = at === null ? -1 : path.indexOf(at)
    if (from < 0) continue
    const round = path.slice(from).flatMap((id) => known.get(id) ?? [])
    const [earliest] = round.sort(inOrderOfBeginning)
    const mother = earliest && up(earliest.id)
    if (earliest && mother) found.push([earliest.id, { why: 'circle', mother }])
  }
  return found
}
