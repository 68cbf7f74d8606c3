import { describe, expect, it } from 'vitest'
import { match } from './routes.ts'
import { has } from './screens.ts'

describe('a path', () => {
  it.each([
    ['/', 'scan/ScanScreen', {}],
    ['/scan', 'scan/ScanScreen', {}],
    ['/Q/4JQZKDMN', 'scan/ScanScreen', { code: '4JQZKDMN' }],
    ['/q/4jqz-kdmn/', 'scan/ScanScreen', { code: '4jqz-kdmn' }],
    ['/piece/0190b0c8-7a3e', 'stock/PieceScreen', { id: '0190b0c8-7a3e' }],
    ['/check/a%20b', 'check/CheckScreen', { id: 'a b' }],
    ['/check/%zz', 'check/CheckScreen', { id: '%zz' }],
    ['/waiting', 'sync/WaitingScreen', {}],
    ['/more/', 'shell/MoreScreen', {}],
  ])('%s leads to %s', (path, screen, params) => {
    const found = match(path)
    expect({ screen: found?.screen, params: found?.params }).toEqual({ screen, params })
  })

  it.each(['/nowhere', '/piece', '/piece/a/b', '/scan/x', '/api/sync'])('%s leads nowhere', (path) => {
    expect(match(path)).toBeNull()
  })
})

it('a screen that is not in this version is known to be missing', () => {
  expect([has('shell/MoreScreen'), has('shell/NoSuchScreen')]).toEqual([true, false])
})
