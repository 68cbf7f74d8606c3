import { describe, expect, it } from 'vitest'
import { Camera, CameraError } from './camera.ts'

type Abilities = Record<string, unknown>

function opened(abilities: Abilities, fails: string[] = []) {
  const applied: unknown[] = []
  let stopped = 0
  const track = {
    getCapabilities: () => abilities,
    applyConstraints: async ({ advanced: [wish] }: { advanced: [Abilities] }) => {
      if (fails.some((name) => name in wish)) throw new DOMException('no', 'UnknownError')
      applied.push(wish)
    },
    stop: () => (stopped += 1),
  }
  const stream = { getVideoTracks: () => [track], getTracks: () => [track] } as unknown as MediaStream
  return { camera: new Camera(stream), applied, stopped: () => stopped }
}

describe('a camera', () => {
  it('keeps what was wished before: each application replaces all', async () => {
    const { camera, applied } = opened({ torch: true, focusMode: ['manual', 'continuous'], zoom: { min: 0.5, max: 8 } })
    await camera.focus()
    expect([await camera.torch(true), await camera.zoom(true), await camera.torch(false), await camera.zoom(false)]).toEqual([
      true, true, true, true,
    ])
    const focusMode = 'continuous'
    expect(applied).toEqual([
      { focusMode },
      { focusMode, torch: true },
      { focusMode, torch: true, zoom: 2 },
      { focusMode, torch: false, zoom: 2 },
      { focusMode, torch: false, zoom: 1 },
    ])
  })

  it('may learn late what it can do', () => {
    const abilities: Abilities = {}
    const { camera } = opened(abilities)
    expect([camera.hasTorch, camera.hasZoom]).toEqual([false, false])
    Object.assign(abilities, { torch: true, zoom: { min: 1, max: 1.5 } })
    expect([camera.hasTorch, camera.hasZoom]).toEqual([true, false])
  })

  it('says when the phone would not, and forgets that wish', async () => {
    const { camera, applied, stopped } = opened({ torch: true, zoom: { min: 1, max: 4 } }, ['torch'])
    expect(await camera.torch(true)).toBe(false)
    expect(await camera.zoom(true)).toBe(true)
    expect(applied).toEqual([{ zoom: 2 }])
    camera.stop()
    expect(stopped()).toBe(1)
  })

  it('without a picture is none', () => {
    const empty = { getVideoTracks: () => [], getTracks: () => [] } as unknown as MediaStream
    expect(() => new Camera(empty)).toThrow(CameraError)
  })
})
