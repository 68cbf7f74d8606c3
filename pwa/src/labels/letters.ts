/** Letters that no label can say: the face in which words are printed has no shape for them. Pure. */

/** WinAnsi, of which the face is made; `labels/pdf.py` prints by the same rule. */
const FACE = new Set(
  [...new TextDecoder('windows-1252').decode(Uint8Array.from({ length: 224 }, (_, at) => at + 32))].filter((letter) => !/[\u0080-\u009f]/.test(letter)),
)
/** Accents and what has no shape anywhere are no loss. */
const NO_LETTER = /^[\p{M}\p{Cf}\s]$/u
const SHOWN = 6

function isLost(letter: string): boolean {
  return !FACE.has(letter) && !NO_LETTER.test(letter) && ![...letter.normalize('NFKD')].some((form) => FACE.has(form))
}

/** In how many of the words letters are left out, and the first few of those. */
export function lettersLost(said: readonly string[]): { readonly count: number; readonly letters: string } {
  const lost = said.map((words) => [...words.normalize('NFC')].filter(isLost))
  const letters = [...new Set(lost.flat())].slice(0, SHOWN).join('')
  return { count: lost.filter((some) => some.length > 0).length, letters }
}
