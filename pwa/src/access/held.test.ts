import { beforeAll, describe, expect, it } from 'vitest'
import { moreWords, setLocale, setZone } from '../words/index.ts'
import { admittedWords, daysOf, groupName, kindWords, waitingIn } from './held.ts'
import type { Group } from './people.ts'

beforeAll(async () => {
  await moreWords()
  setLocale('en-GB')
  setZone('Europe/Lisbon')
})

const group: Group = {
  device: 'd', device_name: 'Shelf', staff: 's', staff_name: 'Inês', why: 'device-revoked', count: 3, set_aside: 2,
  first_at: Date.UTC(2026, 2, 12, 9), last_at: Date.UTC(2026, 2, 14, 23, 30), kinds: { check: 2, move: 1 },
}

describe('a group of held records', () => {
  it('says what is in it, whose and from when', () => {
    expect([kindWords(group.kinds), groupName(group), daysOf(group)]).toEqual([
      '2 checks, 1 move', 'Inês, on “Shelf”', '12 Mar 2026 to 14 Mar 2026',
    ])
    expect(daysOf({ ...group, last_at: group.first_at })).toBe('12 Mar 2026')
    expect(groupName({ ...group, device_name: null, staff_name: null })).toBe('somebody not listed here, on “a phone not listed here”')
    expect(kindWords({ loss: 1, check: 1, comet: 2, tide: 1 })).toBe('1 check, 1 loss, 3 of kinds not known here')
  })

  it('says what became of it', () => {
    expect(admittedWords({ stored: 12, duplicate: 0, later: 0, refused: 0 })).toBe('12 records are in the farm’s records now.')
    expect(admittedWords({ stored: 1, duplicate: 0, later: 2, refused: 1 })).toBe(
      '1 record is in the farm’s records now. 1 new, 0 there already, 2 waiting for what they name, 1 refused.',
    )
    expect(waitingIn({ groups: [group, group], refused: [], refused_count: 0 })).toBe(6)
  })
})
