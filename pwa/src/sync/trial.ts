/** What most tests of sending and fetching begin with. Only tests import this. */
import 'fake-indexeddb/auto'
import type { BodyOf } from '../records/kinds.ts'
import type { Device } from '../records/make.ts'
import { BarePhone } from './bare-phone.ts'
import { FakeServer } from './fake-server.ts'
import type { AnyDraft } from './views.ts'

let count = 0

/** A device whose clock goes on by a second whenever it is looked at. */
export function device(start = '2026-03-01T10:00:00Z'): Device & { now: () => number } {
  let now = Date.parse(start)
  let tick = 0
  return {
    now: () => (now += 1000),
    tick: () => (tick += 1000),
    random: (bytes) => crypto.getRandomValues(bytes),
    zone: () => 'Indian/Maldives',
    offset: () => 300,
  }
}

export async function phoneOn(server: FakeServer, clock = device()): Promise<BarePhone> {
  const phone = new BarePhone(server.fetch, `trial-${(count += 1)}`, clock)
  if (server.me) await phone.signIn(server.me)
  return phone
}

export async function begin(): Promise<{ server: FakeServer; phone: BarePhone }> {
  const server = new FakeServer()
  return { server, phone: await phoneOn(server) }
}

/** A UUIDv7 by number. */
export const id = (number: number): string => `01890000-0000-7000-8000-${number.toString(16).padStart(12, '0')}`
export const PIECE = id(0xa001)

export function glue(piece = PIECE, body: Partial<BodyOf<'glue'>> = {}): AnyDraft {
  return {
    kind: 'glue',
    subject: { kind: 'piece', id: piece },
    body: { cut: id(0xc001), base: 'base.hex-40', purpose: 'sale', ...body },
  }
}

export function check(piece = PIECE, body: BodyOf<'check'> = { mouth: 'open' }): AnyDraft {
  return { kind: 'check', subject: { kind: 'piece', id: piece }, body }
}

export function loss(piece = PIECE): AnyDraft {
  return { kind: 'loss', subject: { kind: 'piece', id: piece }, body: { how: 'dead' } }
}
