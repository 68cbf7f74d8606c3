import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { keep, keepFor, kept, keptFor } from './kept.ts'
import { trialStorage } from './trial-storage.ts'

beforeEach(() => {
  vi.stubGlobal('localStorage', trialStorage())
})
afterEach(() => vi.unstubAllGlobals())

describe('a half-made form', () => {
  it('is found again by who made it, as often as they ask', () => {
    keepFor('rui', 'form', { litres: '12' })
    expect([keptFor('rui', 'form'), keptFor('rui', 'form')]).toEqual([{ litres: '12' }, { litres: '12' }])
  })

  it('is dropped for anybody else', () => {
    keepFor('rui', 'form', { litres: '12' })
    expect([keptFor('ida', 'form'), keptFor('rui', 'form'), kept('form')]).toEqual([undefined, undefined, undefined])
  })

  it('waits for who made it while nobody is known to be here', () => {
    keepFor('rui', 'form', 1)
    expect([keptFor(null, 'form'), keptFor('rui', 'form')]).toEqual([undefined, 1])
  })

  it('that was begun before anybody said who they are goes on with who says so first', () => {
    keepFor(null, 'form', 1)
    expect([keptFor(null, 'form'), keptFor('ida', 'form')]).toEqual([1, 1])
  })

  it('of an earlier version, which knew no person, is nobody’s to find', () => {
    keep('form', { litres: '12' })
    expect([keptFor('rui', 'form'), kept('form')]).toEqual([undefined, undefined])
    keep('form', null)
    expect(keptFor('rui', 'form')).toBeUndefined()
  })
})
