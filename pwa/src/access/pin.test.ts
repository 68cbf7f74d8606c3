import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { EMPTY, isWhole, look, MASK, press, weakness, type Pad, type Touch } from './pin.ts'

const after = (...touches: Touch[]): Pad => touches.reduce(press, EMPTY)
const digits = (text: string): Touch[] => [...text].map((digit) => ({ does: 'digit', digit }))

describe('the PIN pad', () => {
  it('takes up to eight digits, gives the last back, and shows them only when asked', () => {
    const typed = after(...digits('20461'))
    expect([typed.digits, look(typed), isWhole(typed)]).toEqual(['20461', '●●●●●', true])
    expect(look(press(typed, { does: 'show', on: true }))).toBe('20461')
    const back = press(press(typed, { does: 'back' }), { does: 'back' })
    expect([back.digits, isWhole(back)]).toEqual(['204', false])
    expect(after(...digits('1234567890')).digits).toBe('12345678')
    expect(press(typed, { does: 'clear' })).toEqual({ digits: '', shown: false })
    expect(press(EMPTY, { does: 'back' })).toEqual(EMPTY)
  })

  it('reads the field after a keyboard or a paste', () => {
    const typed = after(...digits('204'))
    const texts = ['●●●7', '●●', '5', '', ' 88-31 ', '●●●abc', '●7●', '123456789']
    expect(texts.map((text) => press(typed, { does: 'typed', text }).digits)).toEqual([
      '2047', '20', '5', '', '8831', '204', '270', '12345678',
    ])
    const open = press(typed, { does: 'show', on: true })
    expect(press(open, { does: 'typed', text: '2049' })).toEqual({ digits: '2049', shown: true })
  })

  it('masked or not, typing on through the field gives what the pad gives', () => {
    fc.assert(
      fc.property(fc.stringMatching(/^[0-9]{0,10}$/), fc.boolean(), (text, shown) => {
        let field: Pad = { ...EMPTY, shown }
        for (const digit of text) field = press(field, { does: 'typed', text: look(field) + digit })
        expect(field).toEqual({ digits: after(...digits(text)).digits, shown })
        expect(look(field)).toBe(shown ? field.digits : MASK.repeat(field.digits.length))
      }),
    )
  })

  it('knows the PINs that anybody would try first', () => {
    const found = ['', '123', '1111', '00000000', '1234', '7890', '4321', '09876543', '1357', '2046', '1112', '8901'].map(weakness)
    expect(found).toEqual(['short', 'short', 'same', 'same', 'run', 'run', 'run', 'run', null, null, null, null])
  })
})
