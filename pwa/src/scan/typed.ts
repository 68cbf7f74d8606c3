import { ALPHABET, parse } from '../label/code.ts'

export type Verdict =
  | { readonly is: 'empty' }
  | { readonly is: 'code'; readonly code: string }
  | { readonly is: 'short'; readonly count: number }
  | { readonly is: 'letter'; readonly letter: string }
  | { readonly is: 'wrong'; readonly why: 'foreign' | 'check' }

/**
 * What to say of a code while it is being typed: a character that no code has is named the moment
 * it appears, and a slip as soon as the eighth is there. Nothing is ever put in its place.
 */
export function judge(text: string): Verdict {
  const parsed = parse(text)
  if (parsed.ok) return { is: 'code', code: parsed.code }
  const letters = text.replace(/[\s-]/g, '').toUpperCase()
  if (letters === '') return { is: 'empty' }
  if (parsed.why === 'short') return { is: 'short', count: letters.length }
  if (parsed.why === 'check') return { is: 'wrong', why: 'check' }
  const stray = [...letters].find((letter) => !ALPHABET.includes(letter))
  // Someone pasting an address is not helped by being told that codes have no colon.
  const address = letters.startsWith('HTTP')
  if (stray && letters.length <= 8 && !address) return { is: 'letter', letter: stray }
  return { is: 'wrong', why: 'foreign' }
}
