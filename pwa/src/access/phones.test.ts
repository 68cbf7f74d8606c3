import { beforeAll, expect, it } from 'vitest'
import { moreWords, setLocale, setZone } from '../words/index.ts'
import type { Device } from './people.ts'
import { addressProblem, isHereOnly, phoneNameProblem, whenSeen, whose } from './phones.ts'

beforeAll(async () => {
  await moreWords()
  setLocale('en-GB')
  setZone('Europe/Lisbon')
})

const now = Date.UTC(2026, 2, 12, 12)
const device: Device = {
  id: 'd', name: 'Shelf', shared: false, holder: 'ines', made_at: 0, seen_at: now - 3 * 60_000, removed_at: null, quarantined: 0,
}
const nameOf = (id: string) => (id === 'ines' ? 'Inês' : id)

it('a phone says whose it is and when it was last seen', () => {
  const kinds: Device[] = [device, { ...device, shared: true }, { ...device, shared: true, holder: null }, { ...device, holder: null }]
  expect(kinds.map((one) => whose(one, nameOf))).toEqual([
    'Inês’s own', 'shared, now with Inês', 'shared, now with nobody', 'nobody is signed in on it',
  ])
  const seen: Device[] = [device, { ...device, seen_at: null }, { ...device, removed_at: now }]
  expect(seen.map((one) => whenSeen(one, now))).toEqual(['last seen 3 min ago', 'not seen yet', 'since 12 Mar 2026'])
})

it('a phone has a name', () => {
  expect([phoneNameProblem('  '), phoneNameProblem('Shelf')]).toEqual([expect.stringMatching(/Nothing was changed/), null])
})

it('an address of this very computer is of no use to another phone', () => {
  const found = ['http://127.0.0.1:8000/sign-in#x', 'http://localhost/', 'http://[::1]:80', 'https://nubbin.local:8443', 'http://192.168.1.9'].map(isHereOnly)
  expect(found).toEqual([true, true, true, false, false])
})

it('an address that may change is no place to pair a phone under', () => {
  const stable = { url: 'https://nubbin.local:8443', stable: true }
  const moving = { url: 'https://192.168.1.9:8443', stable: false }
  expect(addressProblem([stable, moving], 'https://nubbin.local:8443')).toBeNull()
  expect(addressProblem([stable, moving], 'https://192.168.1.9:8443')).toMatch(/https:\/\/nubbin\.local:8443/)
  expect(addressProblem([moving], 'https://192.168.1.9:8443')).toMatch(/nubbin serve --name/)
  expect(addressProblem([stable], 'https://behind-a-proxy.example')).toBeNull()
})
