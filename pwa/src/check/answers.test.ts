import { describe, expect, it } from 'vitest'
import { start } from '../stock/state.ts'
import { anything, bodyOf, NONE, sameAgain, UNSEEN } from './answers.ts'

describe('a check’s answers', () => {
  it('what was not looked at, and what was not seen, is absent', () => {
    expect(bodyOf(NONE)).toEqual({})
    expect(bodyOf({ ...NONE, mouth: UNSEEN, encrustation: 0, recession: 'none' })).toEqual({
      encrustation: 0,
      recession: 'none',
    })
  })

  it('keeps everything answered, signs in the list’s order', () => {
    const all = {
      mouth: 'feeding', encrustation: 4, recession: 'rim', expansion: 'full',
      signs: ['loose', 'algae'], lights: 'off', planned: false,
    } as const
    expect(bodyOf(all)).toEqual({ ...all, signs: ['algae', 'loose'] })
  })

  it('not seen counts as answered, lights alone do not', () => {
    expect(anything({ ...NONE, mouth: UNSEEN })).toBe(true)
    expect(anything({ ...NONE, signs: ['pest'] })).toBe(true)
    expect(anything({ ...NONE, lights: 'on', planned: true })).toBe(false)
  })

  it('same as last time repeats the three answers only, and only of a check', () => {
    const state = { ...start('p'), encrustation: 1 as const, signs: ['pest' as const] }
    expect(sameAgain(state)).toBeNull()
    expect(sameAgain({ ...state, checks: 1 })).toEqual({ ...NONE, encrustation: 1 })
  })
})
