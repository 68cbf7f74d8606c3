/**
 * When to talk to the server: when the app starts or comes back to the front, when the browser
 * thinks there is a network, and by a timer in between. `navigator.onLine` is only ever a hint.
 */

const SHORTEST_MS = 15_000
const LONGEST_MS = 5 * 60_000
const USUAL_MS = 60_000

/**
 * How long to wait for the next round: a minute when all went well, else 15 s doubled with each
 * failure up to 5 min; a quarter more or less by chance, so that phones that lost the network
 * together do not all come back together. `random` is in [0, 1).
 */
export function wait(failures: number, random: number): number {
  const base = failures === 0 ? USUAL_MS : SHORTEST_MS * 2 ** Math.min(failures - 1, 10)
  const jittered = base * (0.75 + 0.5 * random)
  return Math.round(Math.min(LONGEST_MS, Math.max(SHORTEST_MS, jittered)))
}

/** Call `round` at each occasion, and again after the wait; it answers whether all went well. */
export function keepRhythm(round: () => Promise<boolean>): () => void {
  let failures = 0
  let timer: ReturnType<typeof setTimeout> | undefined
  let stopped = false
  const beat = async () => {
    let well = false
    try {
      well = await round()
    } finally {
      // Whatever goes wrong in a round, there is a next one.
      failures = well ? 0 : failures + 1
      clearTimeout(timer)
      if (!stopped) timer = setTimeout(beat, wait(failures, Math.random()))
    }
  }
  const occasion = () => void beat()
  const shown = () => {
    if (document.visibilityState === 'visible') occasion()
  }
  window.addEventListener('pageshow', occasion)
  window.addEventListener('online', occasion)
  document.addEventListener('visibilitychange', shown)
  occasion()
  return () => {
    stopped = true
    clearTimeout(timer)
    window.removeEventListener('pageshow', occasion)
    window.removeEventListener('online', occasion)
    document.removeEventListener('visibilitychange', shown)
  }
}
