import { describe, expect, it } from 'vitest'
import { Joined } from './joined.ts'
import { wait } from './rhythm.ts'

describe('the wait for the next round', () => {
  it('is a minute when all went well, a quarter more or less', () => {
    expect([wait(0, 0), wait(0, 0.5), wait(0, 1)]).toEqual([45_000, 60_000, 75_000])
  })

  it('doubles with each failure from 15 s and never passes 5 min', () => {
    const waits = [1, 2, 3, 4, 5, 6, 1000].map((failures) => wait(failures, 0.5))
    expect(waits).toEqual([15_000, 30_000, 60_000, 120_000, 240_000, 300_000, 300_000])
    expect([wait(1, 0), wait(6, 1)]).toEqual([15_000, 300_000])
  })
})

describe('work of which one run at a time is enough', () => {
  /** Runs that wait to be let go, one by one. */
  function held() {
    const begun: (() => void)[] = []
    const work = () => new Promise<number>((resolve) => begun.push(() => resolve(begun.length)))
    return { begun, joined: new Joined(work) }
  }
  const turn = () => new Promise((resolve) => setTimeout(resolve))

  it('begins once for all who ask while it runs, after the run they found', async () => {
    const { begun, joined } = held()
    const first = joined.run()
    const later = [joined.run(), joined.run(), joined.run()]
    expect(begun).toHaveLength(1)
    begun[0]?.()
    expect(await first).toBe(1)
    await turn()
    expect(begun).toHaveLength(2)
    begun[1]?.()
    expect(await Promise.all(later)).toEqual([2, 2, 2])
  })

  it('goes on after a run that failed', async () => {
    let runs = 0
    const joined = new Joined(async () => {
      runs += 1
      if (runs === 1) throw new Error('first')
      return runs
    })
    const outcomes = await Promise.allSettled([joined.run(), joined.run()])
    expect(outcomes.map((one) => one.status)).toEqual(['rejected', 'fulfilled'])
  })
})
