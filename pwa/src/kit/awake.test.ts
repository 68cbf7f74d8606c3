import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { trialStorage } from './trial-storage.ts'
import type { Awake } from './awake.svelte.ts'

/** A phone whose locks are counted, and which lets go of all when hidden, as the standard says. */
class Phone {
  locks: { released: boolean; release: () => Promise<void> }[] = []
  refuses = false
  hidden = false
  stored = new Map<string, string>()
  readonly #listeners = new Map<string, Set<() => void>>()

  readonly wakeLock = {
    request: async () => {
      if (this.refuses || this.hidden) throw new DOMException('no', 'NotAllowedError')
      const lock = { released: false, release: async () => void (lock.released = true) }
      this.locks.push(lock)
      return lock
    },
  }
  readonly document = {
    addEventListener: (name: string, heard: () => void) => {
      this.#listeners.set(name, (this.#listeners.get(name) ?? new Set()).add(heard))
    },
    removeEventListener: (name: string, heard: () => void) => void this.#listeners.get(name)?.delete(heard),
  }
  readonly localStorage = trialStorage(this.stored)

  get on(): number {
    return this.locks.filter((lock) => !lock.released).length
  }

  async fire(name: string): Promise<void> {
    for (const heard of this.#listeners.get(name) ?? []) heard()
    await vi.advanceTimersByTimeAsync(0)
  }

  async show(visible: boolean): Promise<void> {
    this.hidden = !visible
    if (!visible) for (const lock of this.locks) lock.released = true
    await this.fire('visibilitychange')
  }
}

let phone: Phone
let made: (() => Awake) & { rest: number }

beforeEach(async () => {
  vi.useFakeTimers()
  phone = new Phone()
  vi.stubGlobal('navigator', { wakeLock: phone.wakeLock })
  vi.stubGlobal('document', Object.defineProperty(phone.document, 'hidden', { get: () => phone.hidden }))
  vi.stubGlobal('localStorage', phone.localStorage)
  const module = await import('./awake.svelte.ts')
  made = Object.assign(() => new module.Awake(), { rest: module.REST_MS })
})

afterEach(() => {
  vi.unstubAllGlobals()
  vi.useRealTimers()
})

describe('the screen', () => {
  it('stays on while something holds it, and no longer', async () => {
    const awake = made()
    const [one, two] = [awake.hold(), awake.hold()]
    await vi.advanceTimersByTimeAsync(1_000)
    expect([phone.on, phone.locks.length]).toEqual([1, 1])
    one()
    expect(phone.on).toBe(1)
    two()
    expect(phone.on).toBe(0)
  })

  it('is held again when the page comes back', async () => {
    const awake = made()
    awake.start()
    awake.hold()
    await phone.fire('pointerdown')
    await phone.show(false)
    expect(phone.on).toBe(0)
    await phone.show(true)
    expect([phone.on, phone.locks.length]).toEqual([1, 2])
  })

  it('goes dark when nobody has touched it for a while, and comes back with a touch', async () => {
    const awake = made()
    const stop = awake.start()
    awake.hold()
    await vi.advanceTimersByTimeAsync(made.rest - 1_000)
    await phone.fire('keydown')
    await vi.advanceTimersByTimeAsync(made.rest - 1_000)
    expect(phone.on).toBe(1)
    await vi.advanceTimersByTimeAsync(1_000)
    expect(phone.on).toBe(0)
    await phone.fire('pointerdown')
    expect(phone.on).toBe(1)
    stop()
    await phone.fire('pointerdown')
    expect(phone.on).toBe(0)
  })

  it('goes by what the person set, and remembers it', async () => {
    const awake = made()
    awake.hold()
    await vi.advanceTimersByTimeAsync(0)
    awake.set(false)
    expect(phone.on).toBe(0)
    awake.stir()
    await vi.advanceTimersByTimeAsync(0)
    expect([phone.on, made().wanted]).toEqual([0, false])
    awake.set(true)
    await vi.advanceTimersByTimeAsync(0)
    expect([phone.on, made().wanted]).toEqual([1, true])
  })

  it('may be refused it by the phone, and is asked again later', async () => {
    const awake = made()
    awake.start()
    phone.refuses = true
    awake.hold()
    await vi.advanceTimersByTimeAsync(0)
    expect(phone.on).toBe(0)
    phone.refuses = false
    await phone.fire('pointerdown')
    expect(phone.on).toBe(1)
  })

  it('is let go at once where the work ended while the phone was being asked', async () => {
    const awake = made()
    awake.hold()()
    await vi.advanceTimersByTimeAsync(0)
    expect([phone.on, phone.locks.length]).toEqual([0, 1])
  })
})
