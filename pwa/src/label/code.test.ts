import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ALPHABET, checkCharacter, checks, display, parse } from './code.ts'

interface Case {
  name: string
  text: string
  kind: 'code' | 'slip' | 'foreign'
  code: string | null
  display: string | null
}

const FILE = new URL('../../../fixtures/codes/codes.json', import.meta.url)
const fixtures = JSON.parse(readFileSync(FILE, 'utf8')) as { alphabet: string; cases: Case[] }
const data = fc.array(fc.constantFrom(...ALPHABET), { minLength: 7, maxLength: 7 }).map((c) => c.join(''))

/** The same check written the other way: weights 2^7 ... 2^0, most significant first. */
function weighted(code: string): boolean {
  const sum = [...code].reduce((all, one, index) => all + ALPHABET.indexOf(one) * 2 ** (7 - index), 0)
  return sum % 31 === 1
}

describe('the cases that the label side wrote', () => {
  it('share the alphabet', () => expect(fixtures.alphabet).toBe(ALPHABET))

  it.each(fixtures.cases)('$name: $kind', ({ text, kind, code, display: shown }) => {
    const found = parse(text)
    if (found.ok) expect({ kind, code, shown }).toEqual({ kind: 'code', code: found.code, shown: display(found.code) })
    else expect(kind).toBe(found.why === 'check' ? 'slip' : 'foreign')
  })
})

describe('the check character', () => {
  it('agrees with the weighted sum', () => {
    fc.assert(fc.property(data, (seven) => {
      const code = seven + checkCharacter(seven)
      return checks(code) && weighted(code) && parse(code.toLowerCase()).ok
    }))
  })

  it('catches every wrong character, every swap of neighbours and every swap across one', () => {
    fc.assert(fc.property(data, (seven) => {
      const code = seven + checkCharacter(seven)
      for (const slip of slips(code)) expect(parse(slip)).toEqual({ ok: false, why: 'check' })
    }), { numRuns: 30 })
  })
})

function slips(code: string): string[] {
  const wrong = [...code].flatMap((is, index) =>
    [...ALPHABET].filter((other) => other !== is).map((other) => code.slice(0, index) + other + code.slice(index + 1)),
  )
  const swap = (one: number, two: number) => {
    const letters = [...code]
    ;[letters[one], letters[two]] = [letters[two] as string, letters[one] as string]
    return letters.join('')
  }
  const swapped = [1, 2].flatMap((by) => [...code.slice(by)].map((_, index) => swap(index, index + by)))
  return [...wrong, ...swapped.filter((other) => other !== code)]
}

describe('what is still being typed', () => {
  it.each(['', '4', '4jqz-kd', 'HTTPS://X/Q/4JQ'])('%s is not a code yet', (text) => {
    expect(parse(text)).toEqual({ ok: false, why: text.startsWith('HTTPS') ? 'foreign' : 'short' })
  })
})
