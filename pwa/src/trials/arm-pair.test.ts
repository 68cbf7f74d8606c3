import { render } from 'svelte/server'
import { beforeAll, expect, it } from 'vitest'
import type { Pair } from '../healing/comparison.ts'
import PairPart from '../healing/PairPart.svelte'
import { moreWords, setLocale } from '../words/index.ts'
import ArmPair from './ArmPair.svelte'

beforeAll(moreWords)
beforeAll(() => setLocale('en-GB'))

const diff = { least: -5, most: -5, low: -8, high: -2 }
const SIZES = { at_day: 90, days: null, ready: diff, lost: null }
const DRAWN = 'Within each mother, as it was drawn: by day 90, 5 fewer of a hundred are ready (95 %: 2 to 8 fewer).'
const SENTENCE = 'One beside Two: by day 90, 4 fewer of a hundred are ready.'
const PAIR: Pair = {
  one: 'a', one_name: 'One', other: 'b', other_name: 'Two', verdict: 'differs', drawn: DRAWN, sentence: SENTENCE, crude: SIZES,
  adjusted: null, within: SIZES, adjusted_for: [], not_adjusted: [], ready_odds: null, lost_odds: null, warnings: [],
}

/** What can be read, without marks. */
const text = (body: string) => body.replace(/<!--.*?-->/g, '').replace(/<[^>]*>/g, '\n').replace(/\u00a0/g, ' ').split('\n').filter((line) => line.trim() !== '')
const arms = (pair: Pair) => text(render(ArmPair, { props: { pair } }).body)

it('leads with what was drawn, and says both arms as they stand after it', () => {
  const found = arms(PAIR)
  expect([found[0], found[1], found.at(-1)]).toEqual(['One beside Two', DRAWN, SENTENCE])
})

it('says both as they stand where nothing could be set against itself, and what it takes', () => {
  expect(arms({ ...PAIR, drawn: null, within: null })).toEqual([
    'One beside Two', SENTENCE, 'It takes four cuts with known pieces in both arms before mothers can be set against themselves.',
  ])
})

it('leads a comparison as well', () => {
  const found = (pair: Pair) => text(render(PairPart, { props: { pair, unit: 'cut' } }).body)
  const rest = SENTENCE.slice('One beside Two: '.length)
  expect(found(PAIR).slice(2, 4)).toEqual([DRAWN, rest])
  expect(found({ ...PAIR, drawn: null })[2]).toBe(rest)
})
