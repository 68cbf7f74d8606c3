/** Counts over generations against lineages and recursions that others have published. */
import { describe, expect, it } from 'vitest'
import { cut, piece } from './examples.ts'
import { plant, type CutFact, type Member } from './tree.ts'
import { yieldOf, yieldOfAll } from './yields.ts'
import type { PieceView } from '../sync/views.ts'

/** Pieces and cuts as they come about. */
class Herd {
  readonly pieces: PieceView[] = [piece('0')]
  readonly cuts: CutFact[] = []

  cut(mother: string, pieces: number, day: number): string[] {
    const id = `cut ${this.cuts.length}`
    this.cuts.push(cut(id, mother, day))
    const glued = Array.from({ length: pieces }, (_, at) => `${this.pieces.length + at}`)
    this.pieces.push(...glued.map((one) => piece(one, { cut: id, day })))
    return glued
  }

  get colony(): Member {
    return plant(this.pieces, this.cuts).members.get('0') as Member
  }
}

describe('all that one colony has led to', () => {
  it('is Fibonacci’s pairs, where each rests a month and then gives one a month', () => {
    // Leonardo of Pisa, Liber abaci (1202), chapter 12, from memory: a pair that breeds from the
    // second month on has become 377 after twelve months; the margin counts 1 (the start being a
    // pair that breeds at once: 2 after the first month), 2, 3, 5, 8 … 377.
    const herd = new Herd()
    let [ripe, young] = [['0'], [] as string[]]
    const pairs: number[] = []
    for (let month = 1; month <= 12; month += 1) {
      const born = ripe.flatMap((mother) => herd.cut(mother, 1, 30 * month))
      ;[ripe, young] = [[...ripe, ...young], born]
      pairs.push(1 + herd.colony.below.pieces)
    }
    expect(pairs).toEqual([2, 3, 5, 8, 13, 21, 34, 55, 89, 144, 233, 377])
  })

  it('is two to the k less herself, where each is cut once in each of k rounds and remains', () => {
    // The binomial tree B_k (Vuillemin 1978, Commun ACM 21:309): 2^k nodes, height k, and its root
    // has k children; here a cut a child.
    const herd = new Herd()
    for (let round = 1; round <= 10; round += 1) {
      for (const { id } of [...herd.pieces]) herd.cut(id, 1, 100 * round)
    }
    const { below, deep, cuts } = herd.colony
    expect([below.pieces, deep, cuts.length]).toEqual([1023, 10, 10])
    expect(yieldOf(herd.colony).gaps).toEqual(Array.from({ length: 9 }, () => 100))
  })

  it('is a sum of powers, where each mother gives eight and two of those are cut next', () => {
    // Computed: alive = M n, M' = M k, from one mother with n 8 and k 2: 8, 16, 32, 64 a generation.
    const herd = new Herd()
    let mothers = ['0']
    for (let generation = 1; generation <= 4; generation += 1) {
      mothers = mothers.flatMap((mother) => herd.cut(mother, 8, 200 * generation).slice(0, 2))
    }
    const families = plant(herd.pieces, herd.cuts)
    expect(herd.colony.below.pieces).toBe(8 + 16 + 32 + 64)
    expect(yieldOfAll(families, ['0'])).toMatchObject({ mothers: 1 + 2 + 4 + 8, cuts: 15, mean: 8, generations: 4 })
  })
})
