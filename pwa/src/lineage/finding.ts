/** Finding pieces by what a person can read of them: code, line, species, cut number or place. Pure. */
import { parse } from '../label/code.ts'
import { numberText } from '../stock/lineage.ts'
import { itemName, type Find } from '../stock/view.ts'
import type { PieceView } from '../sync/views.ts'

/** `3`, `?+2`: what a cut number may look like. */
const NUMBER = /^(\?\+)?\d{1,3}$/
const PLACE = /^[a-z]{1,2}\d{1,3}$/

interface Read {
  /** Whole words: a cut number, a place or a tray must be met exactly. */
  readonly exact: ReadonlySet<string>
  readonly text: string
  readonly codes: readonly string[]
}

function read(piece: PieceView, find: Find): Read {
  const { species, line, number, state } = piece
  const named = species === null ? [] : [itemName(species, find), String(find(species)?.fields['common'] ?? '')]
  const tray = state.tray === null ? '' : itemName(state.tray, find)
  const text = [line ?? '', tray, ...named].join(' ').toLowerCase()
  const exact = new Set([...text.split(/\s+/), numberText(number), (state.place ?? '').toLowerCase()])
  return { exact, text, codes: state.codes.map(({ code }) => code.toLowerCase()) }
}

function meets(word: string, { exact, text, codes }: Read): boolean {
  if (exact.has(word)) return true
  // 'B7' must not find 'B70', nor '2' every code with a 2 in it.
  if (NUMBER.test(word) || (PLACE.test(word) && word.length < 4)) return false
  return text.includes(word) || codes.some((code) => code.includes(word))
}

/** Those of `pieces` of which all the words of `asked` are true, in their order; none for no words. */
export function found<P extends PieceView>(pieces: readonly P[], asked: string, find: Find): P[] {
  const code = parse(asked)
  if (code.ok) return pieces.filter(({ state }) => state.codes.some((claim) => claim.code === code.code))
  // A code's hyphen, and the words that a cut number is read out with.
  const plain = asked.toLowerCase().replace(/(\w{4})-(?=\w)/g, '$1').replace(/\bcut number\b/g, ' ')
  const words = plain.split(/[\s,]+/).filter((word) => word !== '')
  if (words.length === 0) return []
  return pieces.filter((piece) => {
    const known = read(piece, find)
    return words.every((word) => meets(word, known))
  })
}
