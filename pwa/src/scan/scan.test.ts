import { describe, expect, it } from 'vitest'
import { checkCharacter } from '../label/code.ts'
import { cropFor, secondOpinion, toBox, toFrame } from './crops.ts'
import { Seen } from './seen.ts'
import { judge } from './typed.ts'
import { codeIn, Wedge, type Burst, type Stroke } from './wedge.ts'

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
  // The US keyboard, as the USB HID usage tables and the browsers' names for its keys have it.
  const PLACES: Record<string, string> = { ':': 'Semicolon', '/': 'Slash', '.': 'Period', '-': 'Minus' }
  const place = (sign: string) =>
    PLACES[sign] ?? (/[0-9]/.test(sign) ? `Digit${sign}` : `Key${sign.toUpperCase()}`)
  const stroke = (key: string, timeStamp: number, more: Partial<Stroke> = {}): Stroke => ({
    key, code: key.length === 1 ? place(key) : key, shiftKey: /[A-Z:]/.test(key) && key.length === 1,
    ctrlKey: false, metaKey: false, repeat: false, timeStamp, ...more,
  })
  const type = (wedge: Wedge, text: string, every: number, from = 0, end = 'Enter') =>
    [...text, end].map((key, index) => wedge.key(stroke(key, from + index * every))).at(-1)
  const address = `HTTPS://FARM.EXAMPLE/Q/${code}`

  it('is heard by its speed and its end', () => {
    const wedge = new Wedge()
    expect(type(wedge, address, 8)).toEqual({ typed: address, struck: address })
    expect(type(wedge, code, 20, 5_000)).toEqual({ typed: code, struck: code })
    expect(type(wedge, code.toLowerCase(), 20, 9_000, 'Tab')).toEqual({ typed: code.toLowerCase(), struck: code })
  })

  it('is not confused by a person, a short burst, a held key, a command or its own Shift', () => {
    const wedge = new Wedge()
    expect(type(wedge, code, 180)).toBeNull()
    expect(type(wedge, 'ABC', 8, 10_000)).toBeNull()
    const held = [...Array(12).keys(), 'Enter'].map((key, index) =>
      wedge.key(stroke(key === 'Enter' ? 'Enter' : 'A', 15_000 + index * 33, { repeat: key !== 'Enter' && index > 0 })),
    )
    expect(held.at(-1)).toBeNull()
    expect(wedge.key(stroke('Enter', 16_000, { ctrlKey: true }))).toBeNull()
    const keys = ['X', 'Shift', ...code, 'Enter']
    const heard = keys.map((key, index) => wedge.key(stroke(key, index === 0 ? 20_000 : 20_500 + index * 5)))
    expect(heard.at(-1)).toEqual({ typed: code, struck: code })
  })

  it.each([
    ['as it is', address, address],
    ['in small letters, with its hyphen', `${code.slice(0, 4)}-${code.slice(4)}`.toLowerCase(), code],
    ['on a device with a French keyboard', address.replaceAll('Q', 'A').replace(/[2-9:/.]/g, '§'), address],
    ['by a reader set to the device’s own keyboard', address, address.replaceAll('Q', 'A')],
  ])('reads %s', (_, typed, struck) => expect(codeIn({ typed, struck })).toEqual({ ok: true, code }))

  it('takes no code where both keyboards give one and they differ', () => {
    // Characters five places apart may be exchanged unseen by the check character: 2^5 = 1 (mod 31).
    const both = (first: string, last: string) => `${first}4JQ3${last}M`
    const [one, other] = [both('Y', 'Z'), both('Z', 'Y')].map((seven) => seven + checkCharacter(seven)) as [string, string]
    expect(one.slice(1)).not.toBe(other.slice(1))
    const burst: Burst = { typed: one, struck: one.replace(/[YZ]/g, (letter) => (letter === 'Y' ? 'Z' : 'Y')) }
    expect(codeIn(burst)).toEqual({ ok: false, why: 'keyboard' })
    expect(codeIn({ typed: one, struck: one })).toEqual({ ok: true, code: one })
  })

  it('says what is wrong with what it read', () => {
    const slip = code.replace('4', '5')
    expect(codeIn({ typed: slip, struck: slip })).toEqual({ ok: false, why: 'check' })
    expect(codeIn({ typed: '4006381333931', struck: '4006381333931' })).toEqual({ ok: false, why: 'foreign' })
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
