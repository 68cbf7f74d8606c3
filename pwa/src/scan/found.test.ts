import { describe, expect, it } from 'vitest'
import { foundSpent, howFound, noteFound } from './found.ts'

describe('how the piece at hand was found', () => {
  it('is of the last one alone, and for ten minutes', () => {
    noteFound('one', 'place', 0)
    noteFound('two', 'typed', 1000)
    expect(howFound('one', 2000)).toBe(undefined)
    expect(howFound('two', 2000)).toBe('typed')
    expect(howFound('two', 1000 + 599_999)).toBe('typed')
    expect(howFound('two', 1000 + 600_000)).toBe(undefined)
  })

  it('is told by one check: a second one of the same piece was opened in another way', () => {
    noteFound('one', 'scan', 0)
    foundSpent('two')
    expect(howFound('one', 1)).toBe('scan')
    foundSpent('one')
    expect(howFound('one', 1)).toBe(undefined)
  })
})
