import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { NONE } from './answers.ts'
import { back, found, leave } from './away.ts'

const ANSWERS = { ...NONE, mouth: 'open', signs: ['pest'] } as const

beforeEach(() => {
  const held = new Map<string, string>()
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => held.get(key) ?? null,
    setItem: (key: string, value: string) => held.set(key, value),
    removeItem: (key: string) => held.delete(key),
  })
})
afterEach(() => vi.unstubAllGlobals())

describe('a check left for the camera', () => {
  it('is found again once, where the page was put away meanwhile', () => {
    leave('p', ANSWERS)
    expect(found('p')).toEqual(ANSWERS)
    expect(found('p')).toBe(NONE)
  })

  it('is not found where the page was there all along', () => {
    leave('p', ANSWERS)
    back()
    expect(found('p')).toBe(NONE)
  })

  it('is not found on another piece, nor a quarter of an hour later', () => {
    leave('p', ANSWERS)
    expect(found('q')).toBe(NONE)
    leave('p', ANSWERS)
    expect(found('p', Date.now() + 15 * 60_000)).toBe(NONE)
  })
})
