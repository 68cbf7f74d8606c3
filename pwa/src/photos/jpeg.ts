/**
 * What stands in an image file before its pixels. Pure. Markers and their layout: ITU-T T.81,
 * annex B, for JPEG; W3C PNG, 11.2.1; RFC 9649 for WebP.
 */

export interface Size {
  readonly width: number
  readonly height: number
}

const SOI = 0xd8
const SOS = 0xda
/** Baseline, progressive and all other kinds of frame; C4, C8 and CC are no frames. */
const isFrame = (marker: number) => marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)
/** JFIF's own, colour profiles, and how colours are coded: what a reader of the picture needs. */
const NEEDED = new Set([0xe0, 0xe2, 0xee])
const isNote = (marker: number) => marker === 0xfe || (marker >= 0xe0 && marker <= 0xef && !NEEDED.has(marker))

interface Segment {
  readonly marker: number
  /** Of its 0xFF byte, and behind its last. */
  readonly from: number
  readonly to: number
}

const at = (bytes: Uint8Array, index: number) => bytes[index] ?? 0
const two = (bytes: Uint8Array, index: number) => at(bytes, index) * 256 + at(bytes, index + 1)
const text = (bytes: Uint8Array, from: number, length: number) => String.fromCharCode(...bytes.subarray(from, from + length))

/** The segments before the pixels; empty where it is no JPEG. Stops where the bytes end or make no sense. */
export function segments(bytes: Uint8Array): Segment[] {
  const found: Segment[] = []
  if (at(bytes, 0) !== 0xff || at(bytes, 1) !== SOI) return found
  let from = 2
  while (from + 4 <= bytes.length && at(bytes, from) === 0xff) {
    const marker = at(bytes, from + 1)
    if (marker === SOS) break
    // Any number of 0xFF may stand before a marker.
    if (marker === 0xff) {
      from += 1
      continue
    }
    const to = Math.min(bytes.length, from + 2 + two(bytes, from + 2))
    found.push({ marker, from, to })
    from = to
  }
  return found
}

/** The same JPEG without what cameras and programs note in it: place, time, device, comments. */
export function withoutNotes(bytes: Uint8Array): ArrayBuffer {
  const kept = new Uint8Array(bytes.length)
  let [from, length] = [0, 0]
  const copy = (until: number) => {
    kept.set(bytes.subarray(from, until), length)
    length += until - from
  }
  for (const segment of segments(bytes)) {
    if (!isNote(segment.marker)) continue
    copy(segment.from)
    from = segment.to
  }
  copy(bytes.length)
  return kept.buffer.slice(0, length)
}

/** Width and height as stored, from a file's first bytes; null where they do not say. */
export function sizeOf(bytes: Uint8Array): Size | null {
  const frame = segments(bytes).find((segment) => isFrame(segment.marker))
  if (frame) return { width: two(bytes, frame.from + 7), height: two(bytes, frame.from + 5) }
  if (text(bytes, 1, 3) === 'PNG' && bytes.length >= 24) {
    const four = (index: number) => two(bytes, index) * 65536 + two(bytes, index + 2)
    return { width: four(16), height: four(20) }
  }
  return text(bytes, 0, 4) === 'RIFF' && text(bytes, 8, 4) === 'WEBP' ? webp(bytes) : null
}

function webp(bytes: Uint8Array): Size | null {
  const kind = text(bytes, 12, 4)
  const low = (index: number) => at(bytes, index) + at(bytes, index + 1) * 256
  if (kind === 'VP8 ') return { width: low(26) & 0x3fff, height: low(28) & 0x3fff }
  if (kind === 'VP8X') {
    const three = (index: number) => low(index) + at(bytes, index + 2) * 65536
    return { width: three(24) + 1, height: three(27) + 1 }
  }
  if (kind !== 'VP8L') return null
  // 14 bits each, least significant first, behind a signature byte.
  const bits = low(21) + low(23) * 65536
  return { width: (bits & 0x3fff) + 1, height: ((bits >>> 14) & 0x3fff) + 1 }
}
