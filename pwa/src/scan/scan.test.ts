import { describe, expect, it } from 'vitest'
import { checkCharacter } from '../label/code.ts'
import { cropFor, secondOpinion, toBox, toFrame } from './crops.ts'
import { Seen } from './seen.ts'
import { judge } from './typed.ts'
import { Wedge } from './wedge.ts'

const frame = { width: 1920, height: 1080 }
const code = `4JQZKDM${checkCharacter('4JQZKDM')}`

describe('crops', () => {
  it('alternate: three quarters as it is, half enlarged twice', () => {
    expect([0, 1, 2].map((turn) => cropFor(turn, frame, false))).toEqual([
      { x: 240, y: 135, width: 1440, height: 810, scale: 1 },
      { x: 480, y: 270, width: 960, height: 540, scale: 2 },
      { x: 240, y: 135, width: 1440, height: 810, scale: 1 },
    ])
    expect(cropFor(0, frame, true)).toEqual({ x: 0, y: 0, ...frame, scale: 1 })
  })

  it('let the second reader meet both', () => {
    const crops = [...Array(12).keys()].filter(secondOpinion).map((turn) => cropFor(turn, frame, false).scale)
    expect(new Set(crops)).toEqual(new Set([1, 2]))
  })

  it('lead back to the frame and on to the screen', () => {
    const crop = cropFor(1, frame, false)
    expect(toFrame({ x: 960, y: 540 }, crop)).toEqual({ x: 960, y: 540 })
    expect(toFrame({ x: 0, y: 0 }, crop)).toEqual({ x: 480, y: 270 })
    // A tall box shows the frame's full height and cuts its sides.
    expect(toBox({ x: 960, y: 0 }, frame, { width: 400, height: 540 })).toEqual({ x: 200, y: 0 })
    expect(toBox({ x: 1160, y: 1080 }, frame, { width: 400, height: 540 })).toEqual({ x: 300, y: 540 })
  })
})

describe('a label in view', () => {
  it('is one scan until it has been away', () => {
    const seen = new Seen()
    expect(seen.isFresh(code, 0)).toBe(true)
    const still = [0, 100, 2_000, 4_400].map((now) => {
      seen.mark(code, now)
      return seen.isFresh(code, now + 50)
    })
    expect(still).toEqual([false, false, false, false])
    expect([seen.isFresh(code, 6_900), seen.isFresh(code, 6_901)]).toEqual([false, true])
  })

  it('that is not ours is believed the second time', () => {
    const seen = new Seen()
    expect([seen.sureForeign('X', 0), seen.sureForeign('Y', 100), seen.sureForeign('Y', 200)]).toEqual([false, false, true])
    expect(seen.sureForeign('Y', 9_000)).toBe(false)
  })
})

describe('a hand-held reader', () => {
  const type = (wedge: Wedge, text: string, every: number, from = 0) =>
    [...text, 'Enter'].map((key, index) => wedge.key(key, from + index * every)).at(-1)

  it('is heard by its speed and its Enter', () => {
    const wedge = new Wedge()
    expect(type(wedge, `HTTPS://FARM.EXAMPLE/Q/${code}`, 8)).toBe(`HTTPS://FARM.EXAMPLE/Q/${code}`)
    expect(type(wedge, code, 20, 5_000)).toBe(code)
  })

  it('is not confused by a person, a short burst or its own Shift', () => {
    const wedge = new Wedge()
    expect(type(wedge, code, 180)).toBeNull()
    expect(type(wedge, 'ABC', 8, 10_000)).toBeNull()
    const keys = ['x', 'Shift', ...code, 'Enter']
    const heard = keys.map((key, index) => wedge.key(key, index === 0 ? 20_000 : 20_500 + index * 5))
    expect(heard.at(-1)).toBe(code)
  })
})

describe('a code being typed', () => {
  it.each([
    ['', { is: 'empty' }],
    ['4jqz-', { is: 'short', count: 4 }],
    ['4jq0', { is: 'letter', letter: '0' }],
    ['l', { is: 'letter', letter: 'L' }],
    [code.toLowerCase(), { is: 'code', code }],
    [`${code.slice(0, 4)} - ${code.slice(4)}`, { is: 'code', code }],
    [code.replace('4', '5'), { is: 'wrong', why: 'check' }],
    [`${code}2`, { is: 'wrong', why: 'foreign' }],
    ['https://elsewhere.example/', { is: 'wrong', why: 'foreign' }],
    [`https://farm.example/q/${code}`, { is: 'code', code }],
  ] as const)('%s', (text, verdict) => expect(judge(text)).toEqual(verdict))
})
