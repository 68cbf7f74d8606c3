import { describe, expect, it } from 'vitest'
import { idMaker, make, observe, type Device } from './make.ts'

function device(now: () => number, fill = 0xff): Device {
  return {
    now,
    tick: () => 1234.9,
    random: (bytes) => bytes.fill(fill),
    zone: () => 'America/St_Johns',
    offset: () => -150,
  }
}

describe('ids made on the device', () => {
  it('are UUIDv7: the example of RFC 9562, appendix A.6', () => {
    // Its time is 2022-02-22T19:22:22.000Z, its ver/rand_a 7CC3 and its rand_b 98C4DC0C0C07398F.
    const random = Uint8Array.from('0000000000000cc398c4dc0c0c07398f'.match(/../g) ?? [], (byte) => parseInt(byte, 16))
    const maker = idMaker({ ...device(() => 0x017f22e279b0), random: (bytes) => (bytes.set(random), bytes) })
    // The counter's highest bit starts at 0 here, as section 6.2 advises: 4C3 for the example's CC3.
    expect(maker()).toBe('017f22e2-79b0-74c3-98c4-dc0c0c07398f')
  })

  it('sort in the order they were made, within a millisecond and when the clock goes back', () => {
    let now = 1_000_000
    const times = [now, now, now, now + 1, now - 5000, now - 5000, now + 2]
    const maker = idMaker(device(() => (now = times.shift() ?? now)))
    const made = Array.from({ length: 7 }, maker)
    expect([...made].sort()).toEqual(made)
    expect(new Set(made).size).toBe(7)
  })

  it('sort also when more are made in a millisecond than the counter holds', () => {
    const maker = idMaker(device(() => 1_000_000))
    const made = Array.from({ length: 6000 }, maker)
    expect([...made].sort()).toEqual(made)
    expect(new Set(made).size).toBe(6000)
  })
})

describe('records made on the device', () => {
  it('say when by the device’s clock, its zone and its run', () => {
    expect(observe('session.one', device(() => Date.parse('2026-03-01T10:00:00.007Z')))).toEqual({
      at: '2026-03-01T10:00:00.007Z',
      offset: -150,
      zone: 'America/St_Johns',
      session: 'session.one',
      tick: 1234,
    })
  })

  it('leave out what was not looked at', () => {
    const observed = observe('session.one', device(() => 0))
    const envelope = { id: 'x', observed, staff: 'staff.ada', device: 'device.one', device_seq: 7 }
    const record = make('check', { kind: 'piece', id: 'p' }, { mouth: 'open', lights: undefined }, envelope)
    expect(record).toEqual({ ...envelope, kind: 'check', v: 1, subject: { kind: 'piece', id: 'p' }, body: { mouth: 'open' } })
    expect(Object.keys(record.body)).toEqual(['mouth'])
  })

  it('hold no half of a character, and every whole one', () => {
    const envelope = { id: 'x', observed: observe('session.one', device(() => 0)), staff: 'staff.ada', device: 'device.one', device_seq: 7 }
    const cut = 'a fish: 🐠, half: ' + '🐠'.slice(0, 1)
    const record = make('note', { kind: 'piece', id: 'p' }, { text: cut }, envelope)
    expect(record.body.text).toBe('a fish: 🐠, half: \ufffd')
  })
})
