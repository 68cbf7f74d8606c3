import { afterEach, expect, it, vi } from 'vitest'
import { sha256 } from './hash.ts'

afterEach(() => vi.unstubAllGlobals())

it('writes SHA-256 in small hexadecimal digits', async () => {
  // FIPS 180-2, appendix B.1: the message 'abc' (from memory).
  const hash = await sha256()?.(new TextEncoder().encode('abc'))
  expect(hash).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
})

it('is not there on a page that did not come by HTTPS', () => {
  vi.stubGlobal('crypto', {})
  expect(sha256()).toBeNull()
})
