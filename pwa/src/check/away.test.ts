import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { keep, kept } from '../kit/kept.ts'
import { trialStorage } from '../kit/trial-storage.ts'
import { NONE } from './answers.ts'
import { forget, found, leave, type Left } from './away.ts'

const ANSWERS = { ...NONE, mouth: 'open', signs: ['pest'] } as const
const left = (more: Partial<Left> = {}): Left => ({ piece: 'p', staff: 'rui', at: Date.now(), answers: ANSWERS, ...more })

beforeEach(() => {
  vi.stubGlobal('localStorage', trialStorage())
})
afterEach(() => vi.unstubAllGlobals())

describe('answers that were not saved', () => {
  it('are found again until they are forgotten, each piece’s own', () => {
    const [one, two] = [left(), left({ piece: 'q', answers: { ...NONE, mouth: 'bud' } })]
    leave(one)
    leave(two)
    expect([found('p', 'rui'), found('q', 'rui'), found('p', 'rui')]).toEqual([one, two, one])
    forget('p')
    expect([found('p', 'rui'), found('q', 'rui')]).toEqual([null, two])
    forget('q')
    expect(kept('nubbin.check')).toBeUndefined()
  })

  it('are not found a quarter of an hour later', () => {
    leave(left())
    expect(found('p', 'rui', Date.now() + 15 * 60_000)).toBeNull()
    expect(kept('nubbin.check')).toBeUndefined()
  })

  it('are dropped for anybody else, but not while nobody is known to be here', () => {
    leave(left())
    expect([found('p', null), found('p', 'rui')]).toEqual([null, left({ at: expect.any(Number) as never })])
    expect([found('q', 'ida'), found('p', 'rui'), kept('nubbin.check')]).toEqual([null, null, undefined])
  })

  it('of nobody known are found by who says first who they are', () => {
    leave(left({ staff: null }))
    expect(found('p', 'ida')?.answers).toEqual(ANSWERS)
  })

  it('of an earlier version, which knew no person, are nobody’s to find', () => {
    keep('nubbin.check', { piece: 'p', at: Date.now(), answers: ANSWERS })
    expect(found('p', 'rui')).toBeNull()
  })
})
