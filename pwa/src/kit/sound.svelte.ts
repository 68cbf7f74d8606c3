import type { Feel } from './feel.ts'
import { keep, kept } from './kept.ts'

const KEY = 'nubbin.sound'
// Hertz in turn: rising for saved, falling twice for refused, so that they differ without looking.
// All lie from 500 to 2,500 Hz, where ISO 7731 wants signals that are to be heard over machines
// (the range is from memory).
const NOTES: Record<Feel, readonly number[]> = {
  read: [1480],
  saved: [1175, 1760],
  refused: [740, 554, 740, 554],
}
const NOTE_SECONDS = 0.1
const LOUDNESS = 0.4

/** A phone in the hand that has no vibration; a computer on a desk needs neither. */
function handsHearOnly(): boolean {
  return typeof navigator.vibrate !== 'function' && matchMedia('(pointer: coarse)').matches
}

/** Short notes over pumps and water, where the person wants them. */
export class Sound {
  /** Until somebody chooses, on where nothing else can be felt. */
  on = $state(kept<boolean>(KEY) ?? handsHearOnly())
  #context: AudioContext | null = null

  set(on: boolean): void {
    this.on = on
    keep(KEY, on)
    if (on) return this.unlock()
    void this.#context?.close()
    this.#context = null
  }

  /** Phones give sound only after a tap, and take it away when the app was behind another. */
  start(): () => void {
    const tap = () => this.unlock()
    const taps = ['pointerup', 'keydown'] as const
    for (const one of taps) document.addEventListener(one, tap, { capture: true, passive: true })
    return () => {
      for (const one of taps) document.removeEventListener(one, tap, { capture: true })
    }
  }

  /** To be called by a tap. */
  unlock(): void {
    if (!this.on || typeof AudioContext === 'undefined') return
    this.#context ??= new AudioContext()
    if (this.#context.state !== 'running') void this.#context.resume()
  }

  /** False where nothing can be heard. */
  play(kind: Feel): boolean {
    const audio = this.#context
    if (!this.on || audio?.state !== 'running') return false
    NOTES[kind].forEach((pitch, index) => this.#note(audio, pitch, audio.currentTime + index * NOTE_SECONDS))
    return true
  }

  #note(audio: AudioContext, pitch: number, start: number): void {
    const voice = audio.createOscillator()
    const loud = audio.createGain()
    // Overtones carry further from a phone's small speaker than a pure tone does.
    voice.type = 'triangle'
    voice.frequency.value = pitch
    loud.gain.setValueAtTime(LOUDNESS, start)
    loud.gain.linearRampToValueAtTime(0, start + NOTE_SECONDS)
    voice.connect(loud).connect(audio.destination)
    voice.start(start)
    voice.stop(start + NOTE_SECONDS)
  }
}

export const sound = new Sound()
