import { describe, expect, it } from 'vitest'
import { Drafts } from './drafts.svelte.ts'

/** Locks as browsers have them, for what is asked of them here: many shared, or one exclusive. */
function locks(): LockManager {
  let shared = 0
  const request = async (_: string, { mode }: LockOptions, work: (lock: object | null) => Promise<unknown>) => {
    if (mode === 'exclusive') return work(shared === 0 ? {} : null)
    shared += 1
    try {
      return await work({})
    } finally {
      shared -= 1
    }
  }
  return { request } as unknown as LockManager
}

const settled = () => new Promise((done) => setTimeout(done))

describe('what is not saved', () => {
  it('is known to the other tabs until the last of it is let go', async () => {
    const browser = locks()
    const [here, there] = [new Drafts(browser), new Drafts(browser)]
    expect([await here.anywhere(), await there.anywhere()]).toEqual([false, false])
    const [one, two] = [here.hold(), here.hold()]
    expect([here.open, await here.anywhere(), await there.anywhere()]).toEqual([2, true, true])
    one()
    one()
    await settled()
    expect([here.open, await there.anywhere()]).toEqual([1, true])
    two()
    await settled()
    expect([here.open, await here.anywhere(), await there.anywhere()]).toEqual([0, false, false])
    here.hold()
    expect(await there.anywhere()).toBe(true)
  })

  it('is known of this tab alone where the browser has no locks', async () => {
    const here = new Drafts(null)
    const letGo = here.hold()
    expect([await here.anywhere(), await new Drafts(null).anywhere()]).toEqual([true, false])
    letGo()
    expect(await here.anywhere()).toBe(false)
  })
})
