import { afterEach, describe, expect, it } from 'vitest'
import en from './en/index.ts'
import { age, day, number, setLocale, setWords, setZone, t } from './index.ts'
import type { Catalogue } from './types.ts'

afterEach(() => {
  setWords(en, 'en-GB')
  setZone(undefined)
})

describe('words', () => {
  it('put values in their places and write numbers by locale', () => {
    setWords(en, 'en-GB')
    expect(t('kit.asOf', { age: '3 min ago' })).toBe('as of 3 min ago')
    expect(t('kit.unsent', { count: 1 })).toBe('1 record waiting to be sent')
    expect(t('kit.unsent', { count: 12345 })).toBe('12,345 records waiting to be sent')
    setLocale('de')
    expect(number(12345.5)).toBe('12.345,5')
  })

  it('follow another language’s plural forms', () => {
    // Polish has one, few and many (CLDR): 1, 2 to 4, 5 and up.
    const unsent = { one: '{count} wpis', few: '{count} wpisy', many: '{count} wpisów', other: '{count} wpisu' }
    const polish = { ...en, kit: { ...en.kit, unsent } } as unknown as Catalogue<typeof en>
    setWords(polish, 'pl')
    expect([1, 3, 5].map((count) => t('kit.unsent', { count }))).toEqual(['1 wpis', '3 wpisy', '5 wpisów'])
  })

  it('say none in a way of their own, where they have one', () => {
    setWords(en, 'en-GB')
    expect([0, 1, 2].map((count) => t('piece.days.glued', { count, day: '3 May' }))).toEqual(['Glued today, 3 May', 'Glued 1 day ago, 3 May', 'Glued 2 days ago, 3 May'])
  })

  it('refuse at once a key or a value that is missing', () => {
    // @ts-expect-error there is no such key
    expect(() => t('kit.nothing')).toThrow(RangeError)
    // @ts-expect-error the age is missing
    expect(t('kit.asOf', {})).toBe('as of {age}')
    // @ts-expect-error these words ask for nothing
    expect(t('kit.undo', { count: 1 })).toBe('Undo')
  })

  it('have no empty entry and no unpaired brace', () => {
    const all = (node: unknown): string[] =>
      typeof node === 'string' ? [node] : Object.values(node as object).flatMap(all)
    for (const text of all(en)) {
      expect(text.trim()).not.toBe('')
      expect(text.replace(/\{\w+\}/g, '')).not.toMatch(/[{}]/)
    }
  })
})

describe('dates', () => {
  const late = Date.UTC(2026, 2, 12, 20, 30)

  it('are the facility’s, not the phone’s', () => {
    setLocale('en-GB')
    setZone('Indian/Maldives')
    expect(day(late)).toBe('13 Mar 2026')
    setZone('America/New_York')
    expect(day(late)).toBe('12 Mar 2026')
  })

  it('refuse a zone nobody knows', () => expect(() => setZone('Nowhere/Land')).toThrow(RangeError))

  it('say how old an answer is', () => {
    setLocale('en-GB')
    const old = [0, 59_000, 3 * 60_000, 5 * 3_600_000, 49 * 3_600_000]
    expect(old.map((ms) => age(late - ms, late))).toEqual(['now', 'now', '3 min ago', '5 hr ago', '2 days ago'])
    expect(age(late + 5_000, late)).toBe('now')
  })
})
