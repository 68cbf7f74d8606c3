import { describe, expect, it } from 'vitest'
import { readHost } from './settings.ts'

describe('the farm’s settings', () => {
  it('a host is a host and nothing round it', () => {
    expect(['Farm.Example.org', ' tanks ', 'farm.local:8443'].map(readHost)).toEqual(['farm.example.org', 'tanks', 'farm.local:8443'])
    const bad = ['', 'https://farm.org', 'farm.org/q', '-farm', 'farm..org', 'a farm', `${'a'.repeat(29)}`]
    expect(bad.map(readHost)).toEqual(Array(bad.length).fill(null))
  })
})
