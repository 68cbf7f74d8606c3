export type Feel = 'read' | 'saved' | 'refused'

// Milliseconds on, off, on ...; one short for read, one long for saved, three for refused.
const BUZZ: Record<Feel, number[]> = { read: [25], saved: [90], refused: [60, 60, 60, 60, 60] }
// Hertz in turn: rising for saved, falling for refused, so that they differ without looking.
const NOTES: Record<Feel, number[]> = { read: [880], saved: [587, 880], refused: [392, 294] }
const NOTE_SECONDS = 0.09

let sound = false
let context: AudioContext | null = null

/** Phones give sound only after a tap: call from the switch that turns it on. */
export function setSound(on: boolean): void {
  sound = on
  if (on && typeof AudioContext !== 'undefined') {
    context ??= new AudioContext()
    void context.resume()
  }
}

export function soundOn(): boolean {
  return sound
}

function buzz(feel: Feel): boolean {
  // Before the first tap a browser refuses and complains; a label may well be read before it.
  if (navigator.userActivation?.hasBeenActive === false) return false
  return typeof navigator.vibrate === 'function' && navigator.vibrate(BUZZ[feel])
}

function play(audio: AudioContext, feel: Feel): void {
  NOTES[feel].forEach((pitch, index) => {
    const start = audio.currentTime + index * NOTE_SECONDS
    const voice = audio.createOscillator()
    const loud = audio.createGain()
    voice.frequency.value = pitch
    loud.gain.setValueAtTime(0.2, start)
    loud.gain.linearRampToValueAtTime(0, start + NOTE_SECONDS)
    voice.connect(loud).connect(audio.destination)
    voice.start(start)
    voice.stop(start + NOTE_SECONDS)
  })
}

/**
 * Say it to the hand, and to the ear where sound is on. Returns what was given, since some phones
 * have no vibration and the screen must then say it alone.
 */
export function feel(kind: Feel): { felt: boolean; heard: boolean } {
  const felt = buzz(kind)
  const heard = sound && context?.state === 'running'
  if (heard && context) play(context, kind)
  return { felt, heard }
}
