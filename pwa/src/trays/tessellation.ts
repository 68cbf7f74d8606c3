/**
 * How many bases a tray takes, and where each lies. Hexagonal tiles lie edge to edge in staggered
 * rows, discs likewise or in a square grid, blocks in a square grid, whichever way round takes the
 * most. Lengths in millimetres. Pure.
 */

export interface Tile {
  readonly shape: 'hexagon' | 'disc' | 'block'
  /** From flat side to flat side of a hexagon or block; a disc's diameter. */
  readonly across: number
  /** Left free between neighbours. */
  readonly gap: number
}

export interface Tray {
  readonly width: number
  readonly depth: number
}

export type Pattern = 'staggered' | 'square'

/** A way of laying a tray full. */
export interface Lattice {
  readonly count: number
  readonly pattern: Pattern
  readonly rows: number
  /** Bases in the first row and every other one, and in the rows between. */
  readonly long: number
  readonly short: number
  /** From one base to the next in a row, and from one row to the next, mm. */
  readonly along: number
  readonly down: number
  /** The rows run along the tray's depth rather than its width. */
  readonly turned: boolean
}

export interface Point {
  readonly x: number
  readonly y: number
}

/** A length that no tray or base has. */
export class WrongLength extends RangeError {
  override readonly name = 'WrongLength'
}

/** Point to point of a hexagon, by flat to flat. */
const POINTED = 2 / Math.sqrt(3)
/** From one staggered row to the next, by from one neighbour to the next. */
const STAGGER = Math.sqrt(3) / 2
/** What may be missing for the last one still to go in, in parts of a base: less than can be measured. */
const SLACK = 1e-9

/** The way that takes the most, the first of equal ones; null where not even one base goes in. */
export function fullest(tile: Tile, tray: Tray): Lattice | null {
  const ways = lattices(tile, tray)
  const best = ways.reduce((most, way) => (way.count > most.count ? way : most))
  return best.count > 0 ? best : null
}

/** Every way: each pattern the shape can lie in, along the width and along the depth. */
export function lattices(tile: Tile, tray: Tray): [Lattice, ...Lattice[]] {
  for (const length of [tile.across, tray.width, tray.depth]) {
    if (!(length > 0 && length < 1e5)) throw new WrongLength(`${length} mm is no length of a base or a tray.`)
  }
  if (!(tile.gap >= 0 && tile.gap < 1e5)) throw new WrongLength(`${tile.gap} mm is no gap.`)
  const turned = { width: tray.depth, depth: tray.width }
  const both = (lay: (tray: Tray, turned: boolean) => Lattice): [Lattice, Lattice] => [lay(tray, false), lay(turned, true)]
  const square = both((way, turn) => inSquares(tile, way, turn))
  const staggered = both((way, turn) => inStaggeredRows(tile, way, turn))
  if (tile.shape === 'block') return square
  return tile.shape === 'disc' ? [...staggered, ...square] : staggered
}

function inSquares({ across, gap }: Tile, { width, depth }: Tray, turned: boolean): Lattice {
  const pitch = across + gap
  const [inRow, rows] = [fit(width - across, pitch), fit(depth - across, pitch)]
  return { count: inRow * rows, pattern: 'square', rows, long: inRow, short: inRow, along: pitch, down: pitch, turned }
}

/**
 * Where a tray is so narrow that nothing goes into the rows between, those are left out, and the
 * others close up, point to point.
 */
function inStaggeredRows(tile: Tile, { width, depth }: Tray, turned: boolean): Lattice {
  const [pitch, high] = [tile.across + tile.gap, heightOf(tile)]
  const long = fit(width - tile.across, pitch)
  const between = fit(width - tile.across - pitch / 2, pitch)
  const short = between === 0 ? long : between
  const down = between === 0 ? high + tile.gap : pitch * STAGGER
  const rows = long === 0 ? 0 : fit(depth - high, down)
  const count = Math.ceil(rows / 2) * long + Math.floor(rows / 2) * short
  return { count, pattern: between === 0 ? 'square' : 'staggered', rows, long, short, along: pitch, down, turned }
}

function heightOf({ shape, across }: Tile): number {
  return shape === 'hexagon' ? across * POINTED : across
}

/** How many stand a pitch apart where there is so much room beyond the first. */
function fit(room: number, pitch: number): number {
  const steps = room / pitch
  return steps < -SLACK ? 0 : Math.floor(steps + SLACK) + 1
}

/** Middle points, row by row from the tray's corner, as the tray lies. */
export function middles(tile: Tile, way: Lattice): Point[] {
  const found: Point[] = []
  for (let row = 0; row < way.rows; row += 1) {
    const odd = row % 2 === 1
    const inset = way.pattern === 'staggered' && odd ? way.along / 2 : 0
    for (let place = 0; place < (odd ? way.short : way.long); place += 1) {
      const [across, down] = [tile.across / 2 + inset + place * way.along, heightOf(tile) / 2 + row * way.down]
      found.push(way.turned ? { x: down, y: across } : { x: across, y: down })
    }
  }
  return found
}
