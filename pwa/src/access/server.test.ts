import { beforeAll, describe, expect, it } from 'vitest'
import { claim, readPairing, tokenOf } from './api.ts'
import { askFile, Declined, NoAnswer, NotOurs, ServerError, type Fetch } from './server.ts'
import { moreWords } from '../words/index.ts'
import { whyNotIn } from './why.ts'

beforeAll(moreWords)

const me = {
  epoch: 'e1',
  staff: { id: 'ana', name: 'Ana', role: 'lead' },
  device: { id: 'd1', name: 'Phone' },
  version: '1',
  demo: true,
}

function answers(body: string, status: number, type: string): Fetch {
  return () => Promise.resolve(new Response(body, { status, headers: { 'content-type': type } }))
}

async function failure(fetcher: Fetch): Promise<ServerError> {
  try {
    await claim(fetcher, 'token-123', 'Phone', null)
  } catch (error) {
    if (error instanceof ServerError) return error
    throw error
  }
  throw new Error('nothing was thrown')
}

describe('signing in', () => {
  it('sends the token and the name once and gives back who it is', async () => {
    const sent: unknown[] = []
    const fetcher: Fetch = (path, init) => {
      sent.push([path, init?.method, init?.body])
      return Promise.resolve(Response.json(me))
    }
    expect(await claim(fetcher, 'token-123', 'Phone', null)).toEqual(me)
    expect(await claim(fetcher, 'token-123', 'Phone', 'd1')).toEqual(me)
    expect(sent).toEqual([
      ['/api/access/claim', 'POST', '{"token":"token-123","device_name":"Phone"}'],
      ['/api/access/claim', 'POST', '{"token":"token-123","device_name":"Phone","device":"d1"}'],
    ])
  })

  it('tells no network, a foreign page, a spent link and a refusal apart', async () => {
    const problem = (status: number, code: string, detail: string) =>
      answers(JSON.stringify({ type: `/problems/${code}`, title: detail, status, detail, code }), status, 'application/problem+json')
    const cases: [Fetch, new (...given: never[]) => ServerError, RegExp][] = [
      [() => Promise.reject(new TypeError('failed to fetch')), NoAnswer, /did not answer/],
      [answers('<html>Welcome</html>', 200, 'text/html'), NotOurs, /not the Nubbin server/],
      [answers('{"hello":1}', 200, 'application/json'), NotOurs, /not the Nubbin server/],
      [answers('<html>Bad gateway</html>', 502, 'text/html'), NoAnswer, /did not answer/],
      [problem(403, 'link-used', 'Each link opens one device.'), Declined, /Each link opens|each opens one phone/],
      [problem(422, 'bad-name', 'The name is too long.'), Declined, /The name is too long/],
    ]
    for (const [fetcher, kind, words] of cases) {
      const error = await failure(fetcher)
      expect(error).toBeInstanceOf(kind)
      expect(whyNotIn(error)).toMatch(words)
    }
  })

  it('finds the token of a link as opened or pasted', () => {
    expect(tokenOf('#abcDEF_1-23~x')).toBe('abcDEF_1-23~x')
    expect(tokenOf(' http://10.0.0.2:8000/sign-in#abcdefgh ')).toBe('abcdefgh')
    expect(['', '#', '#short', 'abcdefghij', 'x#abc defghij'].map(tokenOf)).toEqual(Array(5).fill(null))
  })

  it('follows a code in front of the camera only to the address it is at', () => {
    const read = (text: string) => readPairing(text, 'https://nubbin.local:8443')
    expect([
      'https://nubbin.local:8443/sign-in#abcdefgh', 'https://nubbin.local/sign-in#abcdefgh', 'https://nubbin.local:8443/Q/4JQZKDMN',
      'https://nubbin.local:8443/sign-in', '4JQZKDMN', 'https://elsewhere.example/menu',
    ].map(read)).toEqual([
      { token: 'abcdefgh', elsewhere: null }, { token: null, elsewhere: 'nubbin.local' }, { token: null, elsewhere: null },
      { token: null, elsewhere: null }, { token: null, elsewhere: null }, { token: null, elsewhere: null },
    ])
  })

  it('takes an answer that breaks off, or comes too slowly, for none', async () => {
    const broken: [string, Error][] = [
      ['{"epoch":', new TypeError('network error')],
      ['', new DOMException('The patience is over.', 'TimeoutError')],
    ]
    for (const [begun, error] of broken) {
      const cut = (type: string, status = 200): Fetch => () => {
        const body = new ReadableStream<Uint8Array>({
          pull(stream) {
            if (begun) stream.enqueue(new TextEncoder().encode(begun))
            stream.error(error)
          },
        })
        return Promise.resolve(new Response(body, { status, headers: { 'content-type': type } }))
      }
      expect(await failure(cut('application/json'))).toBeInstanceOf(NoAnswer)
      expect(await failure(cut('application/problem+json', 403))).toBeInstanceOf(NoAnswer)
      await expect(askFile(cut('application/pdf'), '/x', 'application/pdf', {})).rejects.toBeInstanceOf(NoAnswer)
    }
  })

  it('takes a file only of the type asked for', async () => {
    const html = answers('<html>', 200, 'text/html')
    await expect(askFile(html, '/x', 'application/pdf', {})).rejects.toBeInstanceOf(NotOurs)
    const pdf: Fetch = () => Promise.resolve(new Response('%PDF-', { headers: { 'content-type': 'application/pdf', first: '4JQZKDMN' } }))
    const file = await askFile(pdf, '/x', 'application/pdf', {})
    expect([await file.text(), file.headers.get('first')]).toEqual(['%PDF-', '4JQZKDMN'])
  })
})
