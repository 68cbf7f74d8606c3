import { flash } from './flash.svelte.ts'
import { sound } from './sound.svelte.ts'

export type Feel = 'read' | 'saved' | 'refused'

// Milliseconds on, off, on ...; one short for read, one long for saved, three for refused.
const BUZZ: Record<Feel, number[]> = { read: [25], saved: [90], refused: [60, 60, 60, 60, 60] }
const ONCE_MS = 300

let refusedAt = -Infinity

function buzz(kind: Feel): boolean {
  // Before the first tap a browser refuses and complains; a label may well be read before it.
  if (navigator.userActivation?.hasBeenActive === false) return false
  return typeof navigator.vibrate === 'function' && navigator.vibrate(BUZZ[kind])
}

/** What a screen says of one refusal in two places is felt once. */
function saidAlready(kind: Feel): boolean {
  if (kind !== 'refused') return false
  const now = performance.now()
  const already = now - refusedAt < ONCE_MS
  refusedAt = now
  return already
}

/**
 * Say it to the hand, to the ear where sound is on, and to the corner of the eye: a browser that
 * takes the vibration may still be on a device that has none, so the frame is always shown.
 */
export function feel(kind: Feel): { felt: boolean; heard: boolean } {
  if (saidAlready(kind)) return { felt: false, heard: false }
  if (kind !== 'read') flash.show(kind)
  return { felt: buzz(kind), heard: sound.play(kind) }
}
