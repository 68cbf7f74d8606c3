import { expect, it } from 'vitest'
import { json, problem } from '../sync/fake-server.ts'
import { whyAbsent } from './asking.ts'

it.each([
  ['photo-not-here', 404, 'elsewhere'],
  ['unknown-photo', 404, 'not-given'],
  ['not-signed-in', 401, 'not-given'],
  ['broken', 500, 'not-given'],
  ['store-away', 503, 'not-given'],
])('a picture that the server answers %s for is said to be %s: %s', async (code, status, why) => {
  const asked: string[] = []
  const answer = async (path: string) => (asked.push(path), json(problem(code, status), status))
  expect([await whyAbsent('ab', answer), asked]).toEqual([why, ['/api/photos/ab/small']])
})

it('a server that does not answer is not said to have nothing', async () => {
  expect(await whyAbsent('ab', () => Promise.reject(new TypeError('no network')))).toBe('offline')
})

it('a network’s own sign-in page is not taken for the server’s word', async () => {
  expect(await whyAbsent('ab', async () => new Response('<html>', { status: 200 }))).toBe('not-given')
})
