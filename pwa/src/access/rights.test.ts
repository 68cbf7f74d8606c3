import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords } from '../words/index.ts'
import type { Member, Role } from './people.ts'
import { isRaised, leads, mayChange, mayGive, nameProblem, passwordProblem, pinProblem, roleChoices, ROLES } from './rights.ts'

beforeAll(moreWords)

const member = (id: string, name: string, left_at: number | null = null): Member => ({
  id, name, role: 'keeper', has_pin: false, made_at: 0, left_at,
})

it('owners change everybody, leads only keepers, keepers nobody', () => {
  const table = ROLES.map((mine) => ROLES.map((theirs) => mayChange(mine, theirs)))
  expect(table).toEqual([[false, false, false], [true, false, false], [true, true, true]])
  expect(([...ROLES, undefined] as (Role | undefined)[]).map(mayGive)).toEqual([[], ['keeper'], [...ROLES], []])
  expect(roleChoices('owner').map((one) => one.word)).toEqual(['Keeper', 'Propagation lead', 'Owner'])
  expect(([...ROLES, undefined] as (Role | undefined)[]).map(leads)).toEqual([false, true, true, false])
})

it('more rights than before are told from as many or fewer', () => {
  const table = ROLES.map((before) => ROLES.map((now) => isRaised(before, now)))
  expect(table).toEqual([[false, true, true], [false, false, true], [false, false, false]])
})

describe('a form', () => {
  const people = [member('a', 'Inês'), member('b', 'Tomás'), member('c', 'Rui', 5)]

  it('wants a name that nobody here has', () => {
    expect(nameProblem('  ', people, null)).toMatch(/Give a name.*Nothing was changed/)
    expect(nameProblem('x'.repeat(121), people, null)).toMatch(/Give a name/)
    for (const odd of ['--', '\u202eInês', 'Inês\u200b', '\u3164', 'Ana\u2066', '🐠']) expect(nameProblem(odd, people, null)).toMatch(/at least one letter.*Nothing was changed/)
    expect(nameProblem('นิภา', people, null)).toBeNull()
    expect(nameProblem(' inês ', people, null)).toMatch(/“inês” is here already.*Nothing was changed/)
    expect([nameProblem('Inês', people, 'a'), nameProblem('Rui', people, null), nameProblem('Ana', people, null)]).toEqual([null, null, null])
  })

  it('wants a PIN and a password that are not the first to be tried', () => {
    expect([pinProblem('123'), pinProblem('7777'), pinProblem('4567')].map((said) => /Nothing was changed/.test(said ?? ''))).toEqual([true, true, true])
    expect(pinProblem('2046')).toBeNull()
    expect(passwordProblem('a')).toBe('That is 1 character; a password has at least 15. Nothing was changed.')
    expect(passwordProblem('correct horse')).toMatch(/13 characters/)
    expect(passwordProblem('enough of words')).toBeNull()
  })
})
