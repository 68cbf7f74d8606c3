/** The PIN pad: what is typed, and what of it is shown. Pure. */
export const PIN_LEAST = 4
export const PIN_MOST = 8
/** Stands for a digit that is not shown. */
export const MASK = '●'

export interface Pad {
  readonly digits: string
  readonly shown: boolean
}

export type Touch =
  | { readonly does: 'digit'; readonly digit: string }
  | { readonly does: 'back' }
  | { readonly does: 'clear' }
  /** The whole text of the field after typing or pasting: masks stand for digits there before. */
  | { readonly does: 'typed'; readonly text: string }
  | { readonly does: 'show'; readonly on: boolean }

export const EMPTY: Pad = { digits: '', shown: false }

export function press(pad: Pad, touch: Touch): Pad {
  switch (touch.does) {
    case 'digit':
      return { ...pad, digits: firstDigits(pad.digits + touch.digit) }
    case 'back':
      return { ...pad, digits: pad.digits.slice(0, -1) }
    case 'clear':
      return { ...pad, digits: '' }
    case 'typed':
      return { ...pad, digits: firstDigits(unmasked(pad.digits, touch.text)) }
    case 'show':
      return { ...pad, shown: touch.on }
  }
}

/** What stands in the field. */
export function look({ digits, shown }: Pad): string {
  return shown ? digits : MASK.repeat(digits.length)
}

export function isWhole({ digits }: Pad): boolean {
  return digits.length >= PIN_LEAST
}

function firstDigits(text: string): string {
  return text.replace(/[^0-9]/g, '').slice(0, PIN_MOST)
}

/** Each mask that is left gives its digit back, in order; everything else is as it was typed. */
function unmasked(before: string, text: string): string {
  let next = 0
  return [...text].map((one) => (one === MASK ? (before[next++] ?? '') : one)).join('')
}

export type Weakness = 'short' | 'same' | 'run'

const STEPS = ['01234567890', '09876543210'] as const

/** Why a PIN is too easily guessed, by the server's own rule; null where it is not. */
export function weakness(pin: string): Weakness | null {
  if (pin.length < PIN_LEAST) return 'short'
  if (new Set(pin).size === 1) return 'same'
  return STEPS.some((row) => row.includes(pin)) ? 'run' : null
}
