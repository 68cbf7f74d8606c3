import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { fixture } from '../stock/fixtures.ts'
import { block, nextArm, type Plan } from './draw.ts'
import { sha256 } from './sha256.ts'

interface Case {
  readonly name: string
  readonly plan: Plan
  readonly mother: string
  readonly sequence: readonly string[]
  readonly steps: readonly (readonly [readonly string[], string])[]
}

describe('SHA-256', () => {
  const hex = (text: string) => Array.from(sha256(text), (byte) => byte.toString(16).padStart(2, '0')).join('')

  // FIPS 180-4's own examples, from memory, and Node's of every length around a block's edge.
  it('gives the standard’s examples', () => {
    expect(hex('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
    expect(hex('')).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855')
  })
  it('is Node’s for texts of every length up to 200, and for letters of more than a byte', () => {
    const texts = [...Array(200).keys()].map((size) => 'x7'.repeat(size).slice(0, size))
    for (const text of [...texts, 'ąß–漢🐚'.repeat(9)]) {
      expect(hex(text)).toBe(createHash('sha256').update(text).digest('hex'))
    }
  })
})

describe('the draw', () => {
  const { cases } = fixture<{ cases: Case[] }>('trials/draw.json')
  it.each(cases.map((one) => [one.name, one] as const))('%s is as the server draws', (_, { plan, mother, sequence, steps }) => {
    const drawn: string[] = []
    for (let number = 0; drawn.length < sequence.length; number += 1) drawn.push(...block(plan, mother, number))
    expect(drawn.slice(0, sequence.length)).toEqual(sequence)
    for (const [standing, next] of steps) expect(nextArm(plan, mother, standing)).toBe(next)
  })
})
