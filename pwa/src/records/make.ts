/** Making records on the device: their id, when they were seen, and the envelope around a body. */
import type { BodyOf, Kind, RecordOf, SubjectOf } from './kinds.ts'
import type { Id, Key, Observed } from './fields.ts'
import { versionOf } from './lift.ts'

/** What a device's clock and random numbers are, so that tests can set them. */
export interface Device {
  /** UTC in milliseconds. */
  readonly now: () => number
  /** Milliseconds since some moment, only ever growing while the app runs. */
  readonly tick: () => number
  readonly random: (bytes: Uint8Array<ArrayBuffer>) => Uint8Array<ArrayBuffer>
  readonly zone: () => string
  /** Minutes east of UTC at a UTC time. */
  readonly offset: (at: number) => number
}

export const thisDevice: Device = {
  now: () => Date.now(),
  tick: () => performance.now(),
  random: (bytes) => crypto.getRandomValues(bytes),
  zone: () => Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC',
  // Subtracted, since a minus before a zero gives one that is another in JavaScript alone.
  offset: (at) => 0 - new Date(at).getTimezoneOffset(),
}

const COUNTER_MAX = 0xfff

/**
 * UUIDv7 (RFC 9562, section 5.7) with the fixed-length counter of its section 6.2, method 1: ids
 * made one after another sort in that order, within a millisecond and when the clock steps back.
 */
export function idMaker(device: Device = thisDevice): () => Id {
  let last = -1
  let counter = 0
  return () => {
    const bytes = device.random(new Uint8Array(16))
    const now = device.now()
    if (now > last) {
      last = now
      // The highest bit starts at 0, to leave room for counting up.
      counter = (((bytes[6] ?? 0) << 8) | (bytes[7] ?? 0)) & 0x7ff
    } else if (counter < COUNTER_MAX) {
      counter += 1
    } else {
      last += 1
      counter = 0
    }
    new DataView(bytes.buffer).setUint32(2, last % 0x1_0000_0000)
    new DataView(bytes.buffer).setUint16(0, Math.floor(last / 0x1_0000_0000))
    bytes[6] = 0x70 | (counter >> 8)
    bytes[7] = counter & 0xff
    bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f)
    return text(bytes)
  }
}

function text(bytes: Uint8Array): Id {
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-')
}

/** The device's account of now. `session` names this run of the app. */
export function observe(session: Key, device: Device = thisDevice): Observed {
  const now = device.now()
  return {
    at: new Date(now).toISOString(),
    offset: device.offset(now),
    zone: device.zone(),
    session,
    tick: Math.max(0, Math.floor(device.tick())),
  }
}

export interface Author {
  readonly staff: Key
  readonly device: Key
}

/** Put the envelope round a body. What is undefined in the body is left out. */
export function make<K extends Kind>(
  kind: K,
  subject: SubjectOf<K>,
  body: BodyOf<K>,
  envelope: Author & { readonly id: Id; readonly observed: Observed; readonly device_seq: number },
): RecordOf<K> {
  const { id, observed, staff, device, device_seq } = envelope
  // A body may be a screen's reactive object, which the database could not store.
  const plain = JSON.parse(JSON.stringify(body, wellFormed)) as BodyOf<K>
  const about = { kind: subject.kind, id: subject.id } as SubjectOf<K>
  return { id, kind, v: versionOf(kind), subject: about, observed, staff, device, device_seq, body: plain }
}

/** Half an emoji, as a text cut to a length may end with, is no character: the server reads none. */
function wellFormed(_name: string, value: unknown): unknown {
  return typeof value === 'string' ? value.replace(/\p{Surrogate}/gu, '\ufffd') : value
}
