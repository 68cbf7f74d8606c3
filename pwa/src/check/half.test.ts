import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { drafts } from '../kit/drafts.svelte.ts'
import { trialStorage } from '../kit/trial-storage.ts'
import type { Shot } from '../photos/shot.ts'
import { NONE } from './answers.ts'
import { halfCheck } from './half.svelte.ts'

const QUARTER = 15 * 60_000
const SHOT: Shot = { sha256: 'a', bytes: new ArrayBuffer(1), media: 'image/jpeg', small: new ArrayBuffer(1) }
const ANSWERS = { ...NONE, mouth: 'open' } as const
// The checks of one test are no other test's.
let piece = 0
const next = () => `piece.${(piece += 1)}`

beforeEach(() => {
  vi.useFakeTimers()
  vi.stubGlobal('localStorage', trialStorage())
})
afterEach(() => {
  // What a test left open with photos is let go of in its time.
  vi.advanceTimersByTime(QUARTER)
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

describe('a half-made check', () => {
  it('is as it was left, photos too, until it is dropped', () => {
    const p = next()
    const one = halfCheck(p, 'rui')
    one.answer({ mouth: 'open' })
    one.photos([SHOT])
    one.close()
    const again = halfCheck(p, 'rui')
    expect([again.answers, again.shots, again.any]).toEqual([ANSWERS, [SHOT], true])
    const before = again.drop()
    again.close()
    expect([halfCheck(p, 'rui').answers, halfCheck(p, 'rui').any]).toEqual([NONE, false])
    again.restore(before)
    expect([halfCheck(p, 'rui').answers, halfCheck(p, 'rui').shots]).toEqual([ANSWERS, [SHOT]])
  })

  it('gets the photo that was still being made when it was left', () => {
    const p = next()
    const one = halfCheck(p, 'rui')
    one.making = true
    one.close()
    const again = halfCheck(p, 'rui')
    expect(again.making).toBe(true)
    one.photos([SHOT])
    one.making = false
    expect([again.shots, again.making]).toEqual([[SHOT], false])
  })

  it('forgets its answers after a quarter of an hour, and keeps its photos', () => {
    const p = next()
    const one = halfCheck(p, 'rui')
    one.answer({ mouth: 'open' })
    one.photos([SHOT])
    one.close()
    vi.advanceTimersByTime(QUARTER - 1)
    expect(halfCheck(p, 'rui').answers).toEqual(ANSWERS)
    vi.advanceTimersByTime(1)
    const late = halfCheck(p, 'rui')
    expect([late.answers, late.shots]).toEqual([NONE, [SHOT]])
  })

  it('is dropped for anybody else, but not while nobody is known to be here', () => {
    const p = next()
    const one = halfCheck(p, 'rui')
    one.answer({ mouth: 'open' })
    one.photos([SHOT])
    one.close()
    expect([halfCheck(p, null).any, halfCheck(p, 'rui').any]).toEqual([false, true])
    // In Rui's hand the form still stands when Ida's is opened.
    const other = halfCheck(next(), 'ida')
    one.close()
    expect([one.any, halfCheck(p, 'ida').any, halfCheck(p, 'rui').any]).toEqual([false, false, false])
    other.close()
    expect(drafts.open).toBe(0)
  })

  it('of nobody known goes on with who says first who they are', () => {
    const p = next()
    halfCheck(p, null).answer({ mouth: 'open' })
    expect([halfCheck(p, 'ida').any, halfCheck(p, 'rui').any]).toEqual([true, false])
  })

  it('holds an update back while it is left with photos, for as long as answers are kept', () => {
    const p = next()
    const one = halfCheck(p, 'rui')
    expect(drafts.open).toBe(0)
    one.making = true
    expect(drafts.open).toBe(1)
    one.photos([SHOT])
    one.making = false
    one.close()
    vi.advanceTimersByTime(QUARTER - 1)
    expect(drafts.open).toBe(1)
    // Open again it is held for as long as it takes, and let go of when it is saved.
    halfCheck(p, 'rui')
    vi.advanceTimersByTime(QUARTER)
    expect(drafts.open).toBe(1)
    one.close()
    vi.advanceTimersByTime(QUARTER)
    expect(drafts.open).toBe(0)
    halfCheck(p, 'rui').drop()
    one.close()
    expect(drafts.open).toBe(0)
  })

  it('of answers alone lets an update come once it is left: they are written down', () => {
    const one = halfCheck(next(), 'rui')
    one.answer({ mouth: 'open' })
    expect(drafts.open).toBe(1)
    one.close()
    expect(drafts.open).toBe(0)
  })
})
