import { CENTRE, at, circle, outline, pair, polygon, rim, ring, type Point, type Shape } from './glyph-shapes.ts'

export type { Shape } from './glyph-shapes.ts'
export type Encrustation = 0 | 1 | 2 | 3 | 4
export type Mouth = 'none' | 'bud' | 'open' | 'feeding'
export type Recession = 'none' | 'rim' | 'quarter' | 'half' | 'more'
export type Stage = 'healing' | 'ready' | 'lost' | 'exited' | 'used' | 'colony' | 'unknown'

/** What a glyph says of a piece. Null is 'not looked at' and leaves its part empty. */
export interface Sign {
  readonly shape: Shape
  readonly encrustation: Encrustation | null
  readonly mouth: Mouth | null
  readonly recession: Recession | null
  readonly stage: Stage
  readonly overdue: boolean
}

/** SVG path data in a square of 100 units; an empty string draws nothing. */
export interface Drawing {
  /** Stroked, `outlineWidth` wide; dashed where `broken`. */
  readonly outlines: readonly string[]
  readonly outlineWidth: number
  readonly broken: boolean
  /** Filled by the even-odd rule, so that the mouth is a hole in tissue and a mark without it. */
  readonly living: string
  readonly hatch: string
  readonly strike: string
}

interface Bite {
  /** Middles of the bitten sectors, and half their width, in radians. */
  readonly middles: readonly number[]
  readonly half: number
  /** How much of the radius is left inside the bite. */
  readonly left: number
}

const degrees = (value: number) => (value * Math.PI) / 180
const UPPER_RIGHT = degrees(-45)

// Widths chosen so that each step is told from its neighbours at 20 px; `rim` is three nicks.
const BITES: Record<Exclude<Recession, 'none'>, Bite> = {
  rim: { middles: [UPPER_RIGHT, degrees(75), degrees(195)], half: degrees(16), left: 0.76 },
  quarter: { middles: [UPPER_RIGHT], half: degrees(42), left: 0.5 },
  half: { middles: [UPPER_RIGHT], half: degrees(84), left: 0.5 },
  more: { middles: [UPPER_RIGHT], half: degrees(132), left: 0.5 },
}

const MOUTH_OUTER = 13
const MOUTH_INNER = 7.8
const MOUTH_DOT = 4
const BUD = 7
// Even the smallest patch of tissue has room for the mouth and an edge round it.
const SMALLEST = 21.5
const BITE_FLOOR = 17

interface Base {
  readonly radii: readonly number[]
  readonly width: number
  /** The furthest that tissue reaches. */
  readonly inner: number
}

const SINGLE: Base = { radii: [45], width: 6, inner: 37.5 }
const DOUBLE: Base = { radii: [46.5, 37.5], width: 4.4, inner: 31 }
const THIN: Base = { radii: [45], width: 3.5, inner: 37.5 }

function baseOf(stage: Stage): Base {
  if (stage === 'ready') return DOUBLE
  return stage === 'exited' || stage === 'used' || stage === 'unknown' ? THIN : SINGLE
}

/** Tissue reaches outward in equal steps from the smallest patch to the whole base; 0 is none. */
function reach(encrustation: Encrustation | null, inner: number): number {
  if (!encrustation) return 0
  return SMALLEST + ((inner - SMALLEST) * (encrustation - 1)) / 3
}

function apart(one: number, other: number): number {
  const turn = 2 * Math.PI
  const gap = (((one - other) % turn) + turn) % turn
  return Math.min(gap, turn - gap)
}

function bitten(bite: Bite | null, angle: number): boolean {
  return bite !== null && bite.middles.some((middle) => apart(angle, middle) <= bite.half)
}

function floorOf(bite: Bite, tissue: number, inner: number): number {
  return Math.max(BITE_FLOOR, (tissue || inner) * bite.left)
}

/** Nicks stay nicks on a small patch; a bitten sector is hatched out to the base's edge. */
function hatchEnd(bite: Bite, floor: number, inner: number): number {
  return bite === BITES.rim ? Math.min(inner, floor + 12) : inner
}

function tissuePath(shape: Shape, tissue: number, bite: Bite | null, floor: number): string {
  if (tissue === 0) return ''
  if (!bite) return outline(shape, tissue)
  const points: Point[] = []
  for (let step = 0; step < 180; step += 1) {
    const angle = degrees(2 * step - 90)
    const radius = bitten(bite, angle) ? Math.min(floor, tissue) : tissue
    points.push(at(radius * rim(shape, angle), angle))
  }
  return polygon(points)
}

function mouthPath(mouth: Mouth | null): string {
  if (mouth === 'bud') return circle(BUD)
  if (mouth !== 'open' && mouth !== 'feeding') return ''
  return circle(MOUTH_OUTER) + circle(MOUTH_INNER) + (mouth === 'feeding' ? circle(MOUTH_DOT) : '')
}

/** Slanting lines over what was bitten: walked in half units, kept where the point is in a bite. */
function hatchPath(shape: Shape, bite: Bite, from: number, to: number): string {
  const inside = (x: number, y: number) => {
    const angle = Math.atan2(y - CENTRE, x - CENTRE)
    const radius = Math.hypot(x - CENTRE, y - CENTRE) / rim(shape, angle)
    return bitten(bite, angle) && radius >= from && radius <= to
  }
  const lines: string[] = []
  for (let offset = -90; offset <= 90; offset += 10) {
    let start: Point | null = null
    for (let x = 0; x <= 100; x += 0.5) {
      const point: Point = [x, x + offset]
      const covered = inside(...point)
      if (covered && !start) start = point
      if (!covered && start) {
        if (x - start[0] > 1.5) lines.push(`M${pair(start)}L${pair(point)}`)
        start = null
      }
    }
  }
  return lines.join('')
}

/** A mother used up: her outline in two halves, parted. */
function parted(shape: Shape, radius: number): string[] {
  const points = ring(shape, radius * 0.94, 72)
  const shift = (half: readonly Point[], by: number) => half.map(([x, y]): Point => [x + by, y])
  return [
    polygon(shift(points.slice(0, 37), 5)),
    polygon(shift([...points.slice(36), points[0] as Point], -5)),
  ]
}

const DOTS = [-15, 0, 15]
  .map((by) => `M${CENTRE + by - 4} ${CENTRE}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z`)
  .join('')

function bare(sign: Sign, base: Base): Drawing {
  const whole = base.radii.map((radius) => outline(sign.shape, radius))
  return {
    outlines: sign.stage === 'used' ? parted(sign.shape, 45) : whole,
    outlineWidth: base.width,
    broken: false,
    living: sign.stage === 'unknown' ? DOTS : '',
    hatch: '',
    strike: sign.stage === 'lost' ? 'M10 90L90 10' : '',
  }
}

/**
 * Draw a piece. The outline is the base; tissue fills it outward from the middle; the mouth sits in
 * the middle (nothing, a dot, a ring, a ring with a dot); recession is bitten out of the rim and
 * hatched; ready doubles the outline, lost leaves it alone and struck through, overdue breaks it.
 */
export function draw(sign: Sign): Drawing {
  const base = baseOf(sign.stage)
  if (sign.stage === 'lost' || base === THIN) return bare(sign, base)
  const tissue = reach(sign.encrustation, base.inner)
  const bite = sign.recession && sign.recession !== 'none' ? BITES[sign.recession] : null
  const floor = bite ? floorOf(bite, tissue, base.inner) : 0
  return {
    outlines: base.radii.map((radius) => outline(sign.shape, radius)),
    outlineWidth: base.width,
    broken: sign.overdue,
    living: tissuePath(sign.shape, tissue, bite, floor) + mouthPath(sign.mouth),
    hatch: bite ? hatchPath(sign.shape, bite, floor + 3, hatchEnd(bite, floor, base.inner)) : '',
    strike: '',
  }
}
