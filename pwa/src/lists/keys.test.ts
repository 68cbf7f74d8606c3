import { describe, expect, it } from 'vitest'
import { keyFor } from './keys.ts'

const KEY = /^[a-z0-9][a-z0-9.-]{0,63}$/

describe('the key of a new entry', () => {
  it('is what records take, and never taken twice', () => {
    const taken = new Set(['tray.a1', 'tray.a1-2', 'tray.1'])
    const key = (name: string) => keyFor('tray', name, (one) => taken.has(one))
    expect(['A1', 'Norðurbakki  3', 'Žlutá—č. 2', '北', '  '].map(key)).toEqual([
      'tray.a1-3', 'tray.nor-urbakki-3', 'tray.zluta-c-2', 'tray.2', 'tray.2',
    ])
    expect(KEY.test(keyFor('species', 'x'.repeat(200), () => false))).toBe(true)
  })
})
