/** No 0, O, 1, I or L: nothing that a wet label can turn into another character. */
export const ALPHABET = '23456789ABCDEFGHJKMNPQRSTUVWXYZ'
export const LENGTH = 8

export type Parsed =
  | { readonly ok: true; readonly code: string }
  | { readonly ok: false; readonly why: 'foreign' | 'check' | 'short' }

// Written out instead of \s, which differs between languages: the label side strips the same ones.
const SEPARATORS = ' \\t\\r\\n\\-\\u00a0\\u2009\\u2010-\\u2014\\u202f\\u2212'
const SEPARATED = new RegExp(`[${SEPARATORS}]`, 'g')
const EDGES = new RegExp(`^[${SEPARATORS}]+|[${SEPARATORS}]+$`, 'g')
const ADDRESS = /^https?:\/\/[^/]+\/q\//i
const BODY = new RegExp(`^[${ALPHABET}]*$`)

/**
 * True where the check character fits: the pure system of ISO/IEC 7064 with radix 2 and, in place
 * of its 37, modulus 31 to suit the alphabet. Its recursion over the characters' values a_i is
 * P = 2 P + a_i (mod 31), and the whole code must leave 1.
 */
export function checks(code: string): boolean {
  let sum = 0
  for (const character of code) sum = (2 * sum + ALPHABET.indexOf(character)) % ALPHABET.length
  return sum === 1
}

/** The check character for the characters in front of it (same recursion, solved for the last). */
export function checkCharacter(data: string): string {
  let sum = 0
  for (const character of data) sum = (2 * sum + ALPHABET.indexOf(character)) % ALPHABET.length
  const modulus = ALPHABET.length
  return ALPHABET.charAt((((1 - 2 * sum) % modulus) + modulus) % modulus)
}

/**
 * Read a label's text or what a person typed: a whole address (any host, so that labels outlive a
 * move of the server), or the bare code in either case, with or without spaces and hyphens.
 */
export function parse(text: string): Parsed {
  const trimmed = text.replace(EDGES, '')
  const address = ADDRESS.test(trimmed)
  const bare = address ? trimmed.replace(ADDRESS, '') : trimmed.replace(SEPARATED, '')
  // Only a to z: toUpperCase would also turn some foreign letters into ours.
  const body = bare.replace(/[a-z]/g, (letter) => letter.toUpperCase())
  if (!BODY.test(body) || body.length > LENGTH) return { ok: false, why: 'foreign' }
  if (body.length < LENGTH) return { ok: false, why: address ? 'foreign' : 'short' }
  return checks(body) ? { ok: true, code: body } : { ok: false, why: 'check' }
}

/** `4JQZKDMN` as it is printed: `4JQZ-KDMN`. */
export function display(code: string): string {
  return code.length > 4 ? `${code.slice(0, 4)}-${code.slice(4)}` : code
}
