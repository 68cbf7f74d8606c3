/** How long something still lasts, in words. Pure. */
import { t } from '../words/index.ts'

const SECOND = 1000
const MINUTE = 60 * SECOND
const HOUR = 60 * MINUTE

/** '4 minutes', '45 seconds': rounded up, so that waiting so long is always enough. */
export function lengthWords(ms: number): string {
  if (ms > 90 * MINUTE) return t('people.span.hours', { count: Math.ceil(ms / HOUR) })
  if (ms > 90 * SECOND) return t('people.span.minutes', { count: Math.ceil(ms / MINUTE) })
  return t('people.span.seconds', { count: Math.max(0, Math.ceil(ms / SECOND)) })
}

/** How long a pairing code works, as the server promises. */
export const PAIRING_MS = 5 * MINUTE
const SLACK_MS = 10 * SECOND

/**
 * When a pairing code ends by this device's clock. `skew` is this clock less the server's as last
 * measured; where what it says cannot be (over already, or longer than any code works), the
 * promised length from now is the better guess, and the server has the last word anyway.
 */
export function endsAt(expiresAt: number, now: number, skew: number): number {
  const left = expiresAt - (now - skew)
  const likely = left > 0 && left <= PAIRING_MS + SLACK_MS
  return now + (likely ? left : PAIRING_MS)
}
