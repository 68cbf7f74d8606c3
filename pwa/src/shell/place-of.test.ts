import { describe, expect, it } from 'vitest'
import { placeOf } from './place-of.ts'

describe('the place of the bar that lights up', () => {
  it('is the one a screen was reached from', () => {
    const under = ['/', '/q/4JQZKDMN', '/cut/1', '/labels/prints/2', '/tray/tray.a1/put', '/trays', '/tank/t', '/lines', '/family/p', '/trial/t', '/phones/pair', '/held']
    expect(under.map(placeOf)).toEqual([
      '/scan', '/scan', '/cuts', '/labels', '/stock', '/stock', '/stock', '/stock', '/stock', '/trials', '/setup', '/setup',
    ])
  })

  it('is itself for a place, and none for a piece', () => {
    expect(['/cuts', '/trials', '/piece/p', '/check/p'].map(placeOf)).toEqual(['/cuts', '/trials', '/piece/p', '/check/p'])
  })
})
