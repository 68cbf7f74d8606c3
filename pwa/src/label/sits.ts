/** Where a base kind carries its label, how large that may be, and what can be read of it. Pure. */
import { CENTRE, outline, rim, type Shape } from '../kit/glyph-shapes.ts'
import type { Item } from '../stock/lists.ts'

export const SITS = ['stem', 'rim', 'corner', 'flag', 'underside', 'tray'] as const
export type Sits = (typeof SITS)[number]

/** As the farm's list says of this kind; null where nobody has said. */
export function sitsOf(base: Item | undefined): Sits | null {
  return SITS.find((one) => one === base?.fields['label_sits']) ?? null
}

/** SVG paths: the base and what grows stroked, the label filled, what is out of sight dashed. */
export interface SitsView {
  readonly lines: string
  readonly label: string
  readonly hidden: string
}

const box = (x: number, y: number, width: number, height: number) => `M${x} ${y}h${width}v${height}h${-width}Z`
// A hump of tissue, from the side and from above.
const LIVING = 'M28 44C24 22 38 12 50 18C62 10 78 22 72 44'
const BLOB = 'M50 32C60 26 70 38 66 48C70 60 58 70 48 66C36 70 28 58 33 48C30 38 40 28 50 32Z'
const SLAB = box(12, 44, 76, 18)
const ASIDE = 'M22 44C20 22 34 14 42 20C52 14 60 26 56 44'

/** Seen from the side, in 100 by 76 units. */
const SIDE: Record<Sits, SitsView> = {
  stem: { lines: `${LIVING}${box(12, 44, 76, 8)}M38 52V74H62V52`, label: box(42, 56, 16, 14), hidden: '' },
  rim: { lines: LIVING + SLAB, label: box(40, 47, 20, 12), hidden: '' },
  corner: { lines: ASIDE + SLAB, label: box(64, 37, 21, 6), hidden: '' },
  flag: { lines: `${ASIDE}${SLAB}M72 44V8`, label: box(73, 6, 19, 15), hidden: '' },
  underside: { lines: LIVING + box(12, 44, 76, 14), label: box(36, 62, 28, 7), hidden: '' },
  tray: { lines: `${LIVING}${box(20, 44, 60, 12)}M4 44V66H96V44`, label: box(2, 68, 24, 8), hidden: '' },
}

/** Seen from above, in 100 by 100 units, on a base of this shape. */
function above(shape: Shape, sits: Sits): SitsView {
  const base = outline(shape, 46)
  const moved = 'M40 34C50 28 58 38 54 48C58 58 48 66 38 62C28 64 22 54 27 46C24 38 32 30 40 34Z'
  switch (sits) {
    case 'stem':
      return { lines: base + BLOB, label: '', hidden: box(42, 42, 16, 16) }
    case 'rim':
      return { lines: base + BLOB, label: box(CENTRE + 46 * rim(shape, 0), 39, 6, 22), hidden: '' }
    case 'corner':
      return { lines: base + moved, label: box(60, 54, 20, 20), hidden: '' }
    case 'flag':
      return { lines: base + moved, label: box(62, 48, 24, 5), hidden: '' }
    case 'underside':
      return { lines: base + BLOB, label: '', hidden: box(25, 25, 50, 50) }
    case 'tray':
      return { lines: `${outline(shape, 36)}${BLOB}M4 2V98M96 2V98M2 4H98M2 96H98`, label: box(8, 8, 22, 8), hidden: '' }
  }
}

export function drawSits(sits: Sits, shape: Shape): { readonly side: SitsView; readonly top: SitsView } {
  return { side: SIDE[sits], top: above(shape, sits) }
}

/** A square within a circle: side over diameter. */
const SQUARE = Math.SQRT1_2

/**
 * The widest square label that has room there, whole mm, from the base's own size; null where that
 * does not tell. On the side it is the height, on top or below the square in the circle.
 */
export function roomFor(sits: Sits | null, fields: Item['fields']): number | null {
  const known = (name: string) => (typeof fields[name] === 'number' ? (fields[name] as number) : null)
  if (sits === 'rim') return known('height_mm')
  const across = known('across_mm')
  if ((sits !== 'corner' && sits !== 'underside') || across === null) return null
  return Math.floor(across * SQUARE)
}

export interface Symbol {
  /** `bare`: the code alone; `whole`: with the farm's address. */
  readonly carries: 'none' | 'bare' | 'whole'
  /** Read from so many cm at most, with a camera 1280 and 1920 pixels wide. */
  readonly near: number
  readonly far: number
}

// Width of the label in mm, and the reach in mm of a camera 1280 and one 1920 pixels wide, measured
// on synthetic pictures. Below 10 mm there is no room for the address.
const REACH = [[20, 181, 271], [15, 135, 203], [12, 108, 162], [10, 101, 152], [8, 92, 138]] as const

/** What a square label of this width can carry, and from how far it is read. */
export function symbolFor(width_mm: number): Symbol {
  const [width, near, far] = REACH.find(([from]) => width_mm >= from) ?? [0, 0, 0]
  const carries = width === 0 ? 'none' : width < 10 ? 'bare' : 'whole'
  return { carries, near: Math.floor(near / 10), far: Math.floor(far / 10) }
}
