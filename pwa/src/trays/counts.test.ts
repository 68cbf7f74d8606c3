import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { counted, mean, quantile, shifted, together, type Counts } from './counts.ts'

/** The second way: every outcome of all things is written out, and its chance added to its count. */
function enumerated(chances: readonly number[]): number[] {
  const found = new Array<number>(chances.length + 1).fill(0)
  for (let outcome = 0; outcome < 2 ** chances.length; outcome += 1) {
    const happens = chances.map((_, at) => (outcome >> at) % 2 === 1)
    const chance = chances.reduce((all, one, at) => all * (happens[at] ? one : 1 - one), 1)
    const count = happens.filter(Boolean).length
    found[count] = (found[count] ?? 0) + chance
  }
  return found
}

const written = ({ from, mass }: Counts, size: number) => Array.from({ length: size }, (_, at) => mass[at - from] ?? 0)

describe('how many of several things happen', () => {
  const chance = fc.oneof(fc.constantFrom(0, 1), fc.double({ min: 0, max: 1, noNaN: true }))

  it('is what writing out every outcome gives', () => {
    fc.assert(
      fc.property(fc.array(chance, { maxLength: 9 }), (chances) => {
        const exact = enumerated(chances)
        for (const [at, one] of written(counted(chances), exact.length).entries()) expect(one).toBeCloseTo(exact[at] ?? -1, 12)
        expect(mean(counted(chances))).toBeCloseTo(chances.reduce((sum, one) => sum + one, 0), 9)
      }),
    )
  })

  it('of alike things is binomial, in any number', () => {
    const found = counted(new Array(2000).fill(0.3))
    // Mean 600 and standard deviation 20.494; 10 and 90 % by the normal law with its half step.
    expect(mean(found)).toBeCloseTo(600, 6)
    expect([quantile(found, 0.1), quantile(found, 0.5), quantile(found, 0.9)]).toEqual([574, 600, 626])
    expect(found.mass.length).toBeLessThan(400)
  })

  it('adds up over trays, and is never under 0', () => {
    const [a, b] = [[0.2, 0.7, 1], [0.5, 0.9]]
    for (const [at, one] of written(together(counted(a), counted(b)), 6).entries()) expect(one).toBeCloseTo(enumerated([...a, ...b])[at] ?? -1, 12)
    expect(shifted(counted([0.5, 0.5]), 3)).toEqual({ from: 3, mass: [0.25, 0.5, 0.25] })
    expect(shifted(counted([0.5, 0.5]), -1)).toEqual({ from: 0, mass: [0.75, 0.25] })
    expect(shifted(counted([0.5]), -4)).toEqual({ from: 0, mass: [1] })
  })

  it('has its range where the chances add up to it', () => {
    const found = counted([0.5, 0.5])
    expect([0.1, 0.25, 0.26, 0.75, 0.76, 1].map((share) => quantile(found, share))).toEqual([0, 0, 1, 1, 2, 2])
  })
})
