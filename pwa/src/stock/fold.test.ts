import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { inOrder, type Entry, type WireRecord } from '../records/kinds.ts'
import { fold, follows, step } from './fold.ts'
import { foldCases } from './fixtures.ts'
import { start } from './state.ts'

const hand = foldCases('fold/hand.json')
const random = foldCases('fold/random.json')

describe('the fold of a piece', () => {
  it.each(hand)('$name', ({ piece, entries, retracted, zone, state }) => {
    const ours = fold(piece, entries, new Set(retracted), zone)
    expect(ours).toEqual(state)
    // To the letter, so that both languages write one JSON.
    expect(JSON.stringify(ours)).toBe(JSON.stringify(state))
  })

  it.each(random)('comes to what Python says: $name', ({ piece, entries, retracted, zone, state }) => {
    const theirs = { ...start(piece), ...state }
    expect(JSON.stringify(fold(piece, entries, new Set(retracted), zone))).toBe(JSON.stringify(theirs))
  })
})

const histories = fc.constantFrom(...hand, ...random)

/** A case with its entries in another order. */
const shuffled = histories.chain((one) =>
  fc
    .shuffledSubarray(one.entries, { minLength: one.entries.length })
    .map((entries) => ({ ...one, entries })),
)

describe('the order of arrival', () => {
  it('cannot matter', () => {
    fc.assert(
      fc.property(shuffled, ({ piece, entries, retracted, zone, state }) => {
        expect(fold(piece, entries, new Set(retracted), zone)).toEqual({ ...start(piece), ...state })
      }),
      { numRuns: 300 },
    )
  })

  it('is no matter step by step either', () => {
    fc.assert(
      fc.property(histories, ({ piece, entries, zone }) => {
        const state = start(piece)
        for (const entry of [...entries].sort(inOrder)) {
          expect(follows(state, entry)).toBe(true)
          step(state, entry, zone)
          expect(follows(state, entry)).toBe(false)
        }
        expect(state).toEqual(fold(piece, entries, new Set(), zone))
      }),
    )
  })
})

describe('a record this app does not know', () => {
  const [glued] = hand.filter((one) => one.name === 'glued')
  const entries = glued?.entries ?? []
  const check = { ...entries[0]?.record, id: '01890000-0000-7000-8000-00000000ffff' }

  it.each([
    ['of a kind to come', { ...check, kind: 'weigh', body: { grams: '12.5' } }],
    ['of a version to come', { ...check, kind: 'check', v: 2, body: { mouth: 'gape' } }],
  ])('changes nothing: %s', (_, record) => {
    const more: Entry[] = [...entries, { at: 2e12, record: record as unknown as WireRecord }]
    expect(fold(glued?.piece ?? '', more, new Set(), 'UTC')).toEqual(
      fold(glued?.piece ?? '', entries, new Set(), 'UTC'),
    )
  })
})
