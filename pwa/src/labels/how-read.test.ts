import { describe, expect, it } from 'vitest'
import { all, byBase, fetchLooks, readOf100, type Looks } from './how-read.ts'

const looks = (base: string, from_day: number, scan: number, typed: number, place: number): Looks => ({
  base, sits: 'corner', from_day, to_day: from_day + 29, scan, typed, place,
})

describe('how labels are read', () => {
  it('by base kind, each with its ages in order', () => {
    const [young, old, other] = [looks('base.hex', 0, 9, 1, 0), looks('base.hex', 31, 1, 0, 0), looks('base.plug', 0, 1, 1, 1)]
    expect(byBase([young, old, other])).toEqual([
      { base: 'base.hex', sits: 'corner', ages: [young, old] },
      { base: 'base.plug', sits: 'corner', ages: [other] },
    ])
    expect(all(other)).toBe(3)
  })

  it('is a share only of ten checks and more', () => {
    expect(readOf100(looks('b', 0, 6, 2, 1))).toBe(null)
    expect(readOf100(looks('b', 0, 6, 2, 2))).toBe(60)
    expect(readOf100(looks('b', 0, 0, 0, 12))).toBe(0)
  })

  it('takes no answer of another shape', async () => {
    const answers = (body: unknown) => () => Promise.resolve(new Response(JSON.stringify(body), { headers: { 'content-type': 'application/json' } }))
    expect(await fetchLooks(answers([looks('b', 0, 1, 0, 0)]))).toHaveLength(1)
    await expect(fetchLooks(answers([{ base: 4 }]))).rejects.toThrow('another shape')
  })
})
