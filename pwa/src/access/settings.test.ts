import { describe, expect, it } from 'vitest'
import { isWrong, keyFor, readFields, readHost } from './settings.ts'

const KEY = /^[a-z0-9][a-z0-9.-]{0,63}$/

describe('the farm’s settings', () => {
  it('a host is a host and nothing round it', () => {
    expect(['Farm.Example.org', ' tanks ', 'farm.local:8443'].map(readHost)).toEqual(['farm.example.org', 'tanks', 'farm.local:8443'])
    const bad = ['', 'https://farm.org', 'farm.org/q', '-farm', 'farm..org', 'a farm', `${'a'.repeat(29)}`]
    expect(bad.map(readHost)).toEqual(Array(bad.length).fill(null))
  })

  it('keys are what records take, and never taken twice', () => {
    const taken = new Set(['tray.a1', 'tray.a1-2', 'tray.1'])
    const key = (name: string) => keyFor('tray', name, (one) => taken.has(one))
    expect(['A1', 'Norðurbakki  3', 'Žlutá—č. 2', '北', '  '].map(key)).toEqual([
      'tray.a1-3', 'tray.nor-urbakki-3', 'tray.zluta-c-2', 'tray.2', 'tray.2',
    ])
    expect(KEY.test(keyFor('species', 'x'.repeat(200), () => false))).toBe(true)
  })

  it('reads an entry’s fields', () => {
    expect(readFields('species', { name: ' Lobophyllia ', common: '', form: 'branching', check_days: '7', toxic: true })).toEqual({
      name: 'Lobophyllia', common: null, form: 'branching', check_days: 7, rest_days: null, toxic: true,
    })
    const wrong = readFields('tray', { name: 'A', columns: '0', rows: '5' })
    expect(isWrong(wrong) && wrong.field.name).toBe('columns')
    expect(isWrong(readFields('tray', { name: 'A', columns: '6', rows: '' }))).toBe(false)
  })
})
