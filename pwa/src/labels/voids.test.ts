import { beforeEach, describe, expect, it, vi } from 'vitest'
import { trialStorage } from '../kit/trial-storage.ts'
import { isKnownVoid, isVoid, refreshVoids } from './voids.ts'

const CODES = ['AAAABBBB', 'BBBBCCCC', 'DDDDEEEE', 'FFFFGGGG', 'HHHHJJJJ']

/** A server that voided these, answers two at a time, and counts what it was asked. */
function server(codes: readonly string[], epoch = 'one') {
  const asked: number[] = []
  const fetcher = (async (path: string) => {
    const after = Number(new URL(path, 'http://farm.example').searchParams.get('after'))
    asked.push(after)
    const page = codes.slice(after, after + 2)
    const body = { epoch, codes: page, last: after + page.length, more: after + 2 < codes.length }
    return new Response(JSON.stringify(body), { headers: { 'content-type': 'application/json' } })
  }) as unknown as typeof fetch
  return { fetcher, asked }
}

describe('what a phone knows of void codes', () => {
  beforeEach(() => vi.stubGlobal('localStorage', trialStorage()))

  it('is fetched whole, and later only what is new', async () => {
    const first = server(CODES.slice(0, 3))
    await refreshVoids(first.fetcher)
    expect(CODES.map(isVoid)).toEqual([true, true, true, false, false])
    const later = server(CODES)
    await refreshVoids(later.fetcher)
    expect(CODES.map(isVoid)).toEqual([true, true, true, true, true])
    expect([first.asked, later.asked]).toEqual([[0, 2], [3]])
  })

  it('stays as it was without a network', async () => {
    await refreshVoids(server(CODES).fetcher)
    await refreshVoids((async () => Promise.reject(new TypeError('offline'))) as typeof fetch)
    expect(isVoid('AAAABBBB')).toBe(true)
  })

  it('begins anew with another database', async () => {
    await refreshVoids(server(CODES).fetcher)
    const other = server(['KKKKMMMM'], 'two')
    await refreshVoids(other.fetcher)
    expect([...CODES, 'KKKKMMMM'].map(isVoid)).toEqual([false, false, false, false, false, true])
    expect(other.asked).toEqual([5, 0])
  })

  it('takes no code for one that two others happen to make together', () => {
    const known = { epoch: 'one', last: 2, codes: 'AAAABBBBBBBBCCCC' }
    expect(isKnownVoid(known, 'BBBBBBBB')).toBe(false)
    expect(isKnownVoid(known, 'BBBBCCCC')).toBe(true)
    expect(isKnownVoid(undefined, 'BBBBCCCC')).toBe(false)
  })

  it('ends also where the phone keeps nothing', async () => {
    const full = trialStorage()
    vi.stubGlobal('localStorage', { ...full, setItem: () => { throw new DOMException('full', 'QuotaExceededError') } })
    const { fetcher, asked } = server(CODES)
    await refreshVoids(fetcher)
    expect(asked).toEqual([0, 2, 4])
  })
})
