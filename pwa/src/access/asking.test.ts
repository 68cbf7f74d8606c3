import { beforeAll, describe, expect, it, vi } from 'vitest'
import { NoRoom, NotReadable } from '../sync/errors.ts'
import { moreWords } from '../words/index.ts'
import { NoAnswer } from './server.ts'

// A refusal is felt, and how is kept in the browser: what of a browser that needs.
vi.stubGlobal('localStorage', { getItem: () => null })
vi.stubGlobal('matchMedia', () => ({ matches: false }))
const { Changer, Fetched } = await import('./asking.svelte.ts')
const { NotNoted } = await import('./noting.ts')

beforeAll(moreWords)

const fails = (error: Error) => () => Promise.reject(error)

describe('something fetched', () => {
  it('says why there is nothing, the phone’s own fault as well as the server’s', async () => {
    for (const error of [new NotReadable(), new NoAnswer('')]) {
      const fetched = new Fetched(fails(error))
      await fetched.again()
      expect([fetched.value, fetched.busy, fetched.wantsSignIn]).toEqual([null, false, false])
      expect(fetched.problem).toMatch(error instanceof NoAnswer ? /did not answer/ : /could not be read/)
    }
  })
})

describe('something changed', () => {
  it('says that the server has done it where only the phone could not write it down', async () => {
    const changer = new Changer()
    expect(await changer.change(fails(new NotNoted(new NoRoom())))).toBe(false)
    expect([changer.busy, changer.problem]).toEqual([
      false, 'The server has done it, but this phone has no room left to write that down. Make room on the phone and try again.',
    ])
    expect(await changer.change(fails(new NotNoted(new NotReadable())))).toBe(false)
    expect(changer.problem).toMatch(/would not write that down/)
  })

  it('does not explain away a mistake of the program’s', async () => {
    const changer = new Changer()
    await expect(changer.change(fails(new RangeError('a mistake')))).rejects.toBeInstanceOf(RangeError)
    expect([changer.busy, changer.problem]).toEqual([false, null])
  })
})
