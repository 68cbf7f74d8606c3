import { describe, expect, it } from 'vitest'
import { fullest, lattices, middles, WrongLength, type Lattice, type Point, type Tile, type Tray } from './tessellation.ts'

const tile = (shape: Tile['shape'], across: number, gap = 0): Tile => ({ shape, across, gap })
const count = (shape: Tile['shape'], across: number, gap: number, tray: Tray): number => fullest(tile(shape, across, gap), tray)?.count ?? 0

/** In how many ways a tray could be filled, by laying base after base until none goes in. */
function laid({ shape, across, gap }: Tile, { width, depth }: Tray, staggered: boolean): number {
  const pitch = across + gap
  const high = shape === 'hexagon' ? (across * 2) / Math.sqrt(3) : across
  const down = staggered ? (pitch * Math.sqrt(3)) / 2 : pitch
  // Nothing goes in between: the rows close up.
  const narrow = staggered && across + pitch / 2 > width + 1e-6
  const step = narrow ? high + gap : down
  let found = 0
  for (let row = 0; high + row * step <= depth + 1e-6; row += 1) {
    const begin = staggered && !narrow && row % 2 === 1 ? pitch / 2 : 0
    for (let left = begin; left + across <= width + 1e-6; left += pitch) found += 1
  }
  return found
}

function most(one: Tile, tray: Tray): number {
  const turned = { width: tray.depth, depth: tray.width }
  const patterns = one.shape === 'block' ? [false] : one.shape === 'hexagon' ? [true] : [true, false]
  return Math.max(...patterns.flatMap((staggered) => [laid(one, tray, staggered), laid(one, turned, staggered)]))
}

/** How far apart two bases of a shape are at least, from middle to middle, along what parts them. */
function apart({ shape, across }: Tile, { turned }: Lattice, a: Point, b: Point): number {
  const [x, y] = turned ? [b.y - a.y, b.x - a.x] : [b.x - a.x, b.y - a.y]
  if (shape === 'disc') return Math.hypot(x, y)
  if (shape === 'block') return Math.max(Math.abs(x), Math.abs(y))
  if (Math.abs(x) < 1e-6) return Math.abs(y) - (across * 2) / Math.sqrt(3) + across
  return Math.max(...[0, 1, 2].map((third) => Math.abs(x * Math.cos((third * Math.PI) / 3) + y * Math.sin((third * Math.PI) / 3))))
}

describe('a tray laid full', () => {
  // Worked out from the exact definitions, from no publication; below by laying one after another.
  // That a tray of 1200 x 600 mm takes 400 to 500 tiles of 38 to 40 mm is common practice, no source.
  it.each([
    [1200, 600, 40, 0, 493, 502, 450],
    [1200, 600, 40, 2, 448, 448, 392],
    [1200, 600, 38, 5, 432, 440, 392],
    [1220, 610, 40, 0, 510, 510, 450],
    [1000, 1000, 50, 0, 429, 429, 400],
    [600, 400, 25, 0, 423, 423, 384],
  ])('of %i x %i mm, %i mm across, %i mm apart: %i hexagons, %i discs, %i blocks', (width, depth, across, gap, hexagons, discs, squares) => {
    const tray = { width, depth }
    expect(count('hexagon', across, gap, tray)).toBe(hexagons)
    expect(count('disc', across, gap, tray)).toBe(Math.max(discs, squares))
    expect(lattices(tile('disc', across, gap), tray).filter((way) => way.pattern === 'staggered').map((way) => way.count)).toContain(discs)
    expect(count('block', across, gap, tray)).toBe(squares)
  })

  // Worked out twice: by the formula that stands beside that table, and once in Python by laying one
  // after another. The table has the larger of both ways round.
  it.each([
    [1200, 600, 40, 0, 472, 493, 502, 493],
    [1200, 600, 40, 2, 448, 432, 448, 432],
    [1200, 600, 38, 5, 413, 432, 440, 432],
    [1220, 610, 40, 0, 510, 493, 510, 508],
    [1000, 1000, 50, 0, 429, 429, 429, 429],
    [600, 400, 25, 0, 423, 419, 423, 419],
  ])('of %i x %i mm, %i mm across, %i mm apart: %i hexagons as it lies, %i turned; discs %i and %i', (width, depth, across, gap, ...counts) => {
    const staggered = (high: number, wide: number, deep: number) => {
      const p = across + gap
      const long = Math.floor((wide - across) / p) + 1
      const short = Math.floor((wide - across - p / 2) / p) + 1
      const rows = Math.floor((deep - high) / (Math.sqrt(0.75) * p)) + 1
      return Math.ceil(rows / 2) * long + Math.floor(rows / 2) * short
    }
    const found = (shape: 'hexagon' | 'disc') => {
      const ways = lattices(tile(shape, across, gap), { width, depth }).filter((way) => way.pattern === 'staggered')
      const high = shape === 'hexagon' ? (across * 2) / Math.sqrt(3) : across
      const both = [false, true].map((turned) => ways.find((way) => way.turned === turned)?.count)
      expect(both).toEqual([staggered(high, width, depth), staggered(high, depth, width)])
      return both
    }
    expect([...found('hexagon'), ...found('disc')]).toEqual(counts)
  })

  it('takes as many as can be laid one after another, in trays and bases of any size', () => {
    let seed = 20_260_301
    const random = (low: number, high: number) => {
      seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31
      return low + Math.round((seed / 2 ** 31) * (high - low) * 10) / 10
    }
    for (let turn = 0; turn < 3000; turn += 1) {
      const tray = { width: random(20, 1300), depth: random(20, 1300) }
      const one = tile((['hexagon', 'disc', 'block'] as const)[turn % 3] ?? 'disc', random(8, 90), random(0, 12))
      expect([one, tray, fullest(one, tray)?.count ?? 0]).toEqual([one, tray, most(one, tray)])
    }
  })

  it.each(['hexagon', 'disc', 'block'] as const)('lays every %s within the tray, none on another', (shape) => {
    for (const [across, gap, width, depth] of [[40, 0, 400, 300], [38, 5, 300, 410], [25, 2, 120, 30], [30, 0, 30, 30]] as const) {
      const one = tile(shape, across, gap)
      for (const way of lattices(one, { width, depth })) {
        const found = middles(one, way)
        expect(found).toHaveLength(way.count)
        const high = shape === 'hexagon' ? (across * 2) / Math.sqrt(3) : across
        const [wide, deep] = way.turned ? [high, across] : [across, high]
        for (const { x, y } of found) {
          expect(x).toBeGreaterThanOrEqual(wide / 2 - 1e-6)
          expect(x).toBeLessThanOrEqual(width - wide / 2 + 1e-6)
          expect(y).toBeGreaterThanOrEqual(deep / 2 - 1e-6)
          expect(y).toBeLessThanOrEqual(depth - deep / 2 + 1e-6)
        }
        const closest = Math.min(...found.flatMap((a, index) => found.slice(index + 1).map((b) => apart(one, way, a, b))))
        expect(closest).toBeGreaterThanOrEqual(across + gap - 1e-6)
      }
    }
  })

  it('takes none where not one goes in, and says which length is none', () => {
    expect(fullest(tile('hexagon', 40), { width: 39, depth: 600 })).toBeNull()
    expect(fullest(tile('hexagon', 40), { width: 45, depth: 39 })).toBeNull()
    // Turned, with its points along the tray: 12 of 46.19 mm.
    expect(fullest(tile('hexagon', 40), { width: 600, depth: 40 })).toMatchObject({ count: 12, turned: true })
    expect(fullest(tile('disc', 40), { width: 40, depth: 40 })?.count).toBe(1)
    expect(fullest(tile('block', 40), { width: 79.9, depth: 40 })?.count).toBe(1)
    for (const wrong of [0, -1, NaN, Infinity, 1e6]) {
      expect(() => fullest(tile('disc', wrong), { width: 100, depth: 100 })).toThrow(WrongLength)
      expect(() => fullest(tile('disc', 10), { width: 100, depth: wrong })).toThrow(`${wrong} mm is no length`)
      if (wrong !== 0) expect(() => fullest(tile('disc', 10, wrong), { width: 100, depth: 100 })).toThrow(`${wrong} mm is no gap.`)
    }
  })
})
