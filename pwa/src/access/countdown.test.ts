import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords, setLocale } from '../words/index.ts'
import { endsAt, lengthWords, PAIRING_MS } from './countdown.ts'

beforeAll(async () => {
  await moreWords()
  setLocale('en-GB')
})

describe('how long', () => {
  it('is said in the largest unit that still tells enough, rounded up', () => {
    const found = [0, -5, 1, 1_000, 59_001, 90_000, 90_001, 299_000, 300_000, 3_600_000, 5_400_000, 5_400_001].map(lengthWords)
    expect(found).toEqual([
      '0 seconds', '0 seconds', '1 second', '1 second', '60 seconds', '90 seconds', '2 minutes', '5 minutes',
      '5 minutes', '60 minutes', '90 minutes', '2 hours',
    ])
  })

  it('a code’s end is by this phone’s own clock, and a clock that is far off does no harm', () => {
    const now = 1_000_000_000
    expect(endsAt(now + 200_000, now, 0)).toBe(now + 200_000)
    // Ten seconds ahead of the server: what the server calls now is ten seconds ago here.
    expect(endsAt(now + 200_000, now, 10_000)).toBe(now + 210_000)
    // Never measured and days off, either way.
    expect(endsAt(now - 86_400_000, now, 0)).toBe(now + PAIRING_MS)
    expect(endsAt(now + 86_400_000, now, 0)).toBe(now + PAIRING_MS)
  })
})
