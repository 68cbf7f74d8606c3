import { parse } from '../label/code.ts'

const GAP_MS = 90
const SHORTEST = 8

/** As much of a keyboard event as is needed here. */
export interface Stroke {
  readonly key: string
  readonly code: string
  readonly shiftKey: boolean
  readonly ctrlKey: boolean
  readonly metaKey: boolean
  readonly repeat: boolean
  /** Milliseconds, from any one beginning. */
  readonly timeStamp: number
}

/** What a reader typed: as this device understood it, and by the places of the keys. */
export interface Burst {
  readonly typed: string
  readonly struck: string
}

export type Heard =
  | { readonly ok: true; readonly code: string }
  | { readonly ok: false; readonly why: 'foreign' | 'check' | 'keyboard' }

// Where the signs of an address and a code lie on the US keyboard, which readers leave the works with.
const SIGNS: Record<string, string> = {
  Minus: '-', NumpadSubtract: '-', Slash: '/', NumpadDivide: '/', Period: '.', NumpadDecimal: '.',
  Semicolon: ';', 'Shift+Semicolon': ':', Space: ' ',
}

function struckBy({ code, shiftKey }: Stroke): string {
  const plain = /^(?:Key|Digit|Numpad)([A-Z0-9])$/.exec(code)?.[1]
  return plain ?? SIGNS[shiftKey ? `Shift+${code}` : code] ?? SIGNS[code] ?? '?'
}

/**
 * A hand-held reader types like a very fast person and ends with Enter or Tab. Keys closer together
 * than 90 ms (common practice, no source) are one burst; anything slower starts a new one.
 */
export class Wedge {
  #typed = ''
  #struck = ''
  #last = -Infinity

  /** Keys of the burst so far. */
  get length(): number {
    return this.#struck.length
  }

  /** Feed one key; the burst is returned when it ends. */
  key(stroke: Stroke): Burst | null {
    const { key, timeStamp } = stroke
    // A key held down repeats as fast as a reader types; with Ctrl it is a command.
    if (stroke.repeat || stroke.ctrlKey || stroke.metaKey) return this.#end(null)
    const ends = key === 'Enter' || key === 'Tab'
    // Readers send Shift and the like as keys of their own. A dead key is a key all the same.
    if (key.length !== 1 && !ends && key !== 'Dead') return null
    if (timeStamp - this.#last > GAP_MS) this.#end(null)
    this.#last = timeStamp
    if (ends) return this.#end(this.length >= SHORTEST ? { typed: this.#typed, struck: this.#struck } : null)
    this.#typed += key.length === 1 ? key : ''
    this.#struck += struckBy(stroke)
    return null
  }

  #end(burst: Burst | null): Burst | null {
    this.#typed = this.#struck = ''
    return burst
  }
}

/**
 * The code in a burst. A reader and a device set to different keyboards disagree about letters
 * (Y and Z, A and Q), so both readings are tried and the check character decides. Where both fit
 * and differ, neither is taken: a wrong piece is worse than none.
 */
export function codeIn({ typed, struck }: Burst): Heard {
  const readings = [parse(typed), parse(struck)]
  const codes = new Set(readings.flatMap((one) => (one.ok ? [one.code] : [])))
  const [code] = codes
  if (codes.size > 1) return { ok: false, why: 'keyboard' }
  if (code !== undefined) return { ok: true, code }
  return { ok: false, why: readings.some((one) => !one.ok && one.why === 'check') ? 'check' : 'foreign' }
}
