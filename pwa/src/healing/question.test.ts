import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { addressOf, EVERYTHING, isNarrowed, partsOf, queryOf, readAsked, TRAITS, type Asked } from './question.ts'

describe('a question about healing', () => {
  it('is read from an address, and what means nothing is left out', () => {
    expect(readAsked('?by=base&endpoint=cut&from=2026-01-01&to=2026-02-30&only=species:b&only=species:a&only=colour:red&only=base:&only=species:a')).toEqual({
      ...EVERYTHING, by: 'base', endpoint: 'cut', since: '2026-01-01', only: ['species:a', 'species:b'],
    })
    expect(readAsked('?by=weather&endpoint=lunch&from=yesterday')).toEqual(EVERYTHING)
    expect(readAsked('?by=arm')).toEqual(EVERYTHING)
    expect(readAsked('?by=base&trial=t')).toEqual({ ...EVERYTHING, by: 'arm', trial: 't' })
  })

  it('has its days in order, whichever was typed first', () => {
    expect(readAsked('?from=2026-03-01&to=2026-01-01')).toMatchObject({ since: '2026-01-01', until: '2026-03-01' })
  })

  it('stands in an address as briefly as it can', () => {
    expect(addressOf('/healing', EVERYTHING)).toBe('/healing')
    expect(addressOf('/healing', { ...EVERYTHING, by: 'base', only: ['species:a b&c'] })).toBe('/healing?by=base&only=species%3Aa+b%26c')
    expect(addressOf('/healing/pieces', EVERYTHING, { group: 'all', of: 'lost' })).toBe('/healing/pieces?group=all&of=lost')
  })

  it('is put to the server whole', () => {
    expect(queryOf(EVERYTHING)).toBe('by=method&endpoint=sale')
    expect(queryOf({ ...EVERYTHING, by: 'arm', trial: 't', until: '2026-01-01' })).toBe('endpoint=sale&trial=t&to=2026-01-01')
  })

  it('comes back from every address as it was', () => {
    const day = fc.date({ min: new Date('2000-01-01'), max: new Date('2099-01-01'), noInvalidDate: true }).map((one) => one.toISOString().slice(0, 10))
    const only = fc.array(fc.tuple(fc.constantFrom(...TRAITS), fc.string({ minLength: 1 })).map(([trait, value]) => `${trait}:${value}`))
    const asked: fc.Arbitrary<Asked> = fc.record({
      by: fc.constantFrom(...TRAITS), endpoint: fc.constantFrom('sale', 'cut'), trial: fc.constant(null),
      since: fc.option(day), until: fc.constant(null), only: only.map((all) => [...new Set(all)].sort()),
    })
    fc.assert(fc.property(asked, (one) => {
      expect(readAsked(addressOf('', one))).toEqual(one)
      expect(readAsked(queryOf(one))).toEqual(one)
    }))
  })

  it('says what a value is of; a value may hold a colon', () => {
    expect(partsOf('base:a:b')).toEqual({ trait: 'base', value: 'a:b' })
    expect(['base', 'base:', ':x', 'arm:x', ''].map(partsOf)).toEqual([null, null, null, null, null])
  })

  it('is narrowed by anything but the way it is compared', () => {
    expect(isNarrowed({ ...EVERYTHING, by: 'base', endpoint: 'cut' })).toBe(false)
    const narrowed: Partial<Asked>[] = [{ trial: 't' }, { since: '2026-01-01' }, { until: '2026-01-01' }, { only: ['base:a'] }]
    expect(narrowed.map((one) => isNarrowed({ ...EVERYTHING, ...one }))).toEqual([true, true, true, true])
  })
})
