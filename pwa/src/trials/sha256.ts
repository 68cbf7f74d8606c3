/**
 * SHA-256 (FIPS 180-4) of text, at once and in plain arithmetic: browsers give theirs only to pages
 * that came by HTTPS, and a draw must be the same on every phone, whatever way it reached the farm.
 */
const PRIMES = 64

/** The first 32 bits of the fractions of a root of the first primes: the standard's own constants. */
function constants(root: (prime: number) => number, count: number): number[] {
  const found: number[] = []
  for (let n = 2; found.length < count; n += 1) {
    let prime = true
    for (let by = 2; by * by <= n; by += 1) if (n % by === 0) prime = false
    if (prime) found.push(Math.floor((root(n) % 1) * 2 ** 32) | 0)
  }
  return found
}

const ROUND = constants(Math.cbrt, PRIMES)
const START = constants(Math.sqrt, 8)

function padded(text: string): DataView {
  const bytes = new TextEncoder().encode(text)
  const blocks = Math.ceil((bytes.length + 9) / 64)
  const view = new DataView(new ArrayBuffer(blocks * 64))
  bytes.forEach((byte, at) => view.setUint8(at, byte))
  view.setUint8(bytes.length, 0x80)
  view.setUint32(blocks * 64 - 4, bytes.length * 8)
  return view
}

const turn = (x: number, by: number): number => (x >>> by) | (x << (32 - by))

function schedule(view: DataView, from: number): number[] {
  const w: number[] = []
  for (let t = 0; t < 16; t += 1) w.push(view.getInt32(from + 4 * t))
  for (let t = 16; t < PRIMES; t += 1) {
    const [a, b] = [w[t - 15] ?? 0, w[t - 2] ?? 0]
    const small = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)
    const large = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10)
    w.push(((w[t - 16] ?? 0) + small + (w[t - 7] ?? 0) + large) | 0)
  }
  return w
}

function compress(state: readonly number[], w: readonly number[]): number[] {
  let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = state
  for (let t = 0; t < PRIMES; t += 1) {
    const one = (h + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + (ROUND[t] ?? 0) + (w[t] ?? 0)) | 0
    const two = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0
    ;[h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0]
  }
  return [a, b, c, d, e, f, g, h].map((x, at) => (x + (state[at] ?? 0)) | 0)
}

/** The 32 bytes. */
export function sha256(text: string): Uint8Array {
  const view = padded(text)
  let state = START
  for (let from = 0; from < view.byteLength; from += 64) state = compress(state, schedule(view, from))
  const out = new DataView(new ArrayBuffer(32))
  state.forEach((x, at) => out.setInt32(4 * at, x))
  return new Uint8Array(out.buffer)
}
