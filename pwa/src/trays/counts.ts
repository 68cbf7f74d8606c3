/**
 * How many of several independent things happen: the Poisson-binomial distribution, exactly, by
 * convolution of one Bernoulli after another. Pure.
 */

/** Chances of the counts `from`, `from` + 1 and so on. */
export interface Counts {
  readonly from: number
  readonly mass: readonly number[]
}

/** Tails lighter than this are left off: no range is moved by what a double can hardly hold. */
const NOTHING = 1e-18

/** The number that happen of things with these chances, 0 to 1. */
export function counted(chances: Iterable<number>): Counts {
  let from = 0
  let mass = [1]
  for (const chance of chances) {
    if (chance === 1) from += 1
    else if (chance > 0) {
      mass = [...mass.map((one, at) => one * (1 - chance) + (mass[at - 1] ?? 0) * chance), (mass.at(-1) ?? 0) * chance]
      const light = mass.findIndex((one) => one > NOTHING)
      from += light
      mass = mass.slice(light, mass.findLastIndex((one) => one > NOTHING) + 1)
    }
  }
  return { from, mass }
}

/** The sum of two counts that have nothing to do with each other. */
export function together(a: Counts, b: Counts): Counts {
  const mass = new Array<number>(a.mass.length + b.mass.length - 1).fill(0)
  for (const [i, one] of a.mass.entries()) {
    for (const [j, other] of b.mass.entries()) mass[i + j] = (mass[i + j] ?? 0) + one * other
  }
  return { from: a.from + b.from, mass }
}

/** The same count, shifted, and 0 where it would be less. */
export function shifted({ from, mass }: Counts, by: number): Counts {
  const begin = from + by
  if (begin >= 0) return { from: begin, mass }
  const under = mass.slice(0, 1 - begin).reduce((sum, one) => sum + one, 0)
  return { from: 0, mass: [under, ...mass.slice(1 - begin)] }
}

export function mean({ from, mass }: Counts): number {
  return mass.reduce((sum, one, at) => sum + one * (from + at), 0)
}

/** The lowest count that is not exceeded with chance `share`. */
export function quantile({ from, mass }: Counts, share: number): number {
  let sum = 0
  for (const [at, one] of mass.entries()) {
    sum += one
    if (sum >= share - 1e-12) return from + at
  }
  return from + mass.length - 1
}
