import { describe, expect, it } from 'vitest'
import { draw, type Encrustation, type Sign } from './glyph.ts'
import { rim, type Shape } from './glyph-shapes.ts'
import { glyphWords } from './glyph-words.ts'

const SHAPES: Shape[] = ['hexagon', 'disc', 'block', 'none']
const plain: Sign = {
  shape: 'hexagon',
  encrustation: 2,
  mouth: 'none',
  recession: 'none',
  stage: 'healing',
  overdue: false,
}

/** Every point of a path of absolute M and L steps. */
function points(path: string): [number, number][] {
  return [...path.matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]) => [Number(x), Number(y)])
}

/** Twice the area by the shoelace formula, halved: a measure unlike the one that drew it. */
function area(path: string): number {
  const all = points(path)
  const twice = all.reduce((sum, [x, y], index) => {
    const [nextX, nextY] = all[(index + 1) % all.length] as [number, number]
    return sum + x * nextY - nextX * y
  }, 0)
  return Math.abs(twice) / 2
}

describe('the outline', () => {
  it('is the base as it is', () => {
    expect(points(draw(plain).outlines[0] as string)).toHaveLength(6)
    expect(points(draw({ ...plain, shape: 'block' }).outlines[0] as string)).toHaveLength(4)
    expect(draw({ ...plain, shape: 'disc' }).outlines[0]).toMatch(/^M5 50a45 45/)
  })

  it('of a hexagon runs through the corners and the middles of the sides', () => {
    const corner = rim('hexagon', -Math.PI / 2)
    expect(corner).toBeCloseTo(1.06, 9)
    expect(rim('hexagon', -Math.PI / 2 + Math.PI / 3)).toBeCloseTo(corner, 9)
    expect(rim('hexagon', 0)).toBeCloseTo((corner * Math.sqrt(3)) / 2, 9)
  })

  it('doubles when ready, breaks when overdue', () => {
    const ready = draw({ ...plain, stage: 'ready', overdue: true })
    expect({ lines: ready.outlines.length, broken: ready.broken }).toEqual({ lines: 2, broken: true })
    expect(draw(plain).broken).toBe(false)
  })

  it.each(SHAPES)('of a %s stays inside the square', (shape) => {
    for (const stage of ['healing', 'ready', 'lost', 'used', 'unknown'] as const) {
      for (const path of draw({ ...plain, shape, stage }).outlines.filter((one) => !one.includes('a'))) {
        for (const [x, y] of points(path)) expect(Math.min(x, y, 100 - x, 100 - y)).toBeGreaterThan(0)
      }
    }
  })
})

describe('living tissue', () => {
  it.each(['hexagon', 'block', 'none'] as const)('on a %s grows with every step', (shape) => {
    const steps = ([1, 2, 3, 4] as Encrustation[]).map((encrustation) => area(draw({ ...plain, shape, encrustation }).living))
    expect(steps).toEqual([...steps].sort((one, other) => one - other))
    expect(new Set(steps).size).toBe(4)
    expect(steps[3]).toBeLessThan(area(draw({ ...plain, shape }).outlines[0] as string))
  })

  it('is not drawn where there is none or nobody looked', () => {
    expect(draw({ ...plain, encrustation: 0 }).living).toBe('')
    expect(draw({ ...plain, encrustation: null, mouth: null, recession: null }).living).toBe('')
  })

  it('loses more with every step of recession', () => {
    const steps = (['none', 'rim', 'quarter', 'half', 'more'] as const).map((recession) => draw({ ...plain, encrustation: 4, recession }))
    const left = steps.map(({ living }) => area(living))
    expect(left).toEqual([...left].sort((one, other) => other - one))
    expect(steps.map(({ hatch }) => hatch !== '')).toEqual([false, true, true, true, true])
  })
})

describe('the mouth', () => {
  it('is nothing, a dot, a ring, a ring with a dot', () => {
    const circles = (['none', 'bud', 'open', 'feeding'] as const).map(
      (mouth) => draw({ ...plain, encrustation: 0, mouth }).living.split('Z').length - 1,
    )
    expect(circles).toEqual([0, 1, 2, 3])
  })
})

describe('a lost piece', () => {
  const lost = draw({ ...plain, mouth: 'open', recession: 'half', stage: 'lost', overdue: true })

  it('is its outline alone, struck through once', () => {
    expect(lost).toEqual({ ...draw({ ...plain, encrustation: 0 }), strike: 'M10 90L90 10' })
  })

  it('is told apart from every other stage', () => {
    const stages = ['healing', 'ready', 'lost', 'exited', 'used', 'unknown'] as const
    expect(new Set(stages.map((stage) => JSON.stringify(draw({ ...plain, stage })))).size).toBe(stages.length)
  })
})

describe('the words', () => {
  it('say all that is drawn', () => {
    expect(glyphWords({ ...plain, mouth: 'open', recession: 'rim', stage: 'ready', overdue: true })).toBe(
      'hexagon base, ready, half covered, mouth open, recession at the rim, check overdue',
    )
  })

  it('leave out what was not looked at', () => {
    expect(glyphWords({ ...plain, encrustation: null, mouth: null, recession: null })).toBe('hexagon base, healing')
    expect(glyphWords({ ...plain, stage: 'lost' })).toBe('hexagon base, lost')
  })
})
