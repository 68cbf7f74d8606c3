import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { trialStorage } from './trial-storage.ts'

const notes: number[] = []

class Voice {
  frequency = { set value(pitch: number) { notes.push(pitch) } }
  gain = { setValueAtTime: () => undefined, linearRampToValueAtTime: () => undefined }
  connect<T>(to: T): T {
    return to
  }
  start(): void {}
  stop(): void {}
}

/** Asleep until a tap resumes it, as on phones. */
class FakeAudio {
  state = 'suspended'
  currentTime = 0
  destination = {}
  createOscillator = () => new Voice()
  createGain = () => new Voice()
  async resume(): Promise<void> {
    this.state = 'running'
  }
  async close(): Promise<void> {
    this.state = 'closed'
  }
}

const stored = new Map<string, string>()

async function phone(shape: { vibrate: boolean; coarse: boolean; tapped?: boolean }) {
  vi.resetModules()
  const buzzes: unknown[] = []
  const vibrate = (pattern: number[]) => buzzes.push(pattern) > 0
  vi.stubGlobal('navigator', {
    userActivation: { hasBeenActive: shape.tapped ?? true },
    ...(shape.vibrate && { vibrate }),
  })
  vi.stubGlobal('matchMedia', () => ({ matches: shape.coarse }))
  vi.stubGlobal('AudioContext', FakeAudio)
  vi.stubGlobal('localStorage', trialStorage(stored))
  const [{ feel }, { sound }, { flash }] = await Promise.all([
    import('./feel.ts'), import('./sound.svelte.ts'), import('./flash.svelte.ts'),
  ])
  return { feel, sound, flash, buzzes }
}

beforeEach(() => {
  vi.useFakeTimers()
  stored.clear()
  notes.length = 0
})

afterEach(() => {
  vi.unstubAllGlobals()
  vi.useRealTimers()
})

describe('what is done', () => {
  it('is felt and seen, each kind in its own way', async () => {
    const { feel, flash, buzzes, sound } = await phone({ vibrate: true, coarse: true })
    expect([sound.on, feel('read'), flash.shown]).toEqual([false, { felt: true, heard: false }, null])
    feel('saved')
    expect(flash.shown).toBe('saved')
    feel('refused')
    expect(flash.shown).toBe('refused')
    expect(buzzes).toEqual([[25], [90], [60, 60, 60, 60, 60]])
    await vi.advanceTimersByTimeAsync(1_000)
    expect(flash.shown).toBeNull()
  })

  it('is heard on a phone without vibration, once a tap has unlocked it', async () => {
    const { feel, sound, flash } = await phone({ vibrate: false, coarse: true })
    expect([sound.on, feel('saved'), flash.shown]).toEqual([true, { felt: false, heard: false }, 'saved'])
    sound.unlock()
    expect(feel('saved')).toEqual({ felt: false, heard: true })
    const saved = notes.splice(0)
    feel('refused')
    expect(saved).toEqual([...saved].sort((a, b) => a - b))
    expect([saved.length, notes.length]).toEqual([2, 4])
    expect(notes[0]).toBeGreaterThan(notes[1] ?? Infinity)
    for (const pitch of [...saved, ...notes]) expect(pitch >= 500 && pitch <= 2500).toBe(true)
  })

  it('follows the switch, which is remembered', async () => {
    const first = await phone({ vibrate: false, coarse: true })
    first.sound.unlock()
    first.sound.set(false)
    expect(first.feel('saved').heard).toBe(false)
    const second = await phone({ vibrate: false, coarse: true })
    expect(second.sound.on).toBe(false)
    second.sound.set(true)
    expect([second.feel('saved').heard, (await phone({ vibrate: true, coarse: true })).sound.on]).toEqual([true, true])
  })

  it('makes no noise at a desk that nobody asked for', async () => {
    expect((await phone({ vibrate: false, coarse: false })).sound.on).toBe(false)
  })

  it('does not ask for vibration before the first tap, when browsers refuse it', async () => {
    const { feel, buzzes } = await phone({ vibrate: true, coarse: true, tapped: false })
    expect([feel('read').felt, buzzes]).toEqual([false, []])
  })

  it('is refused once, however many places say so', async () => {
    const { feel, buzzes } = await phone({ vibrate: true, coarse: true })
    feel('refused')
    feel('refused')
    expect(buzzes.length).toBe(1)
    await vi.advanceTimersByTimeAsync(1_000)
    feel('refused')
    feel('saved')
    feel('saved')
    expect(buzzes.length).toBe(4)
  })
})
