export type CameraFault = 'denied' | 'none' | 'insecure' | 'busy' | 'failed'

/** The camera could not be opened; `fault` says which sentence the person is owed. */
export class CameraError extends Error {
  constructor(
    readonly fault: CameraFault,
    cause?: unknown,
  ) {
    super(`camera: ${fault}`, { cause })
  }
}

// Offered by phones' browsers, not yet in the language's own list of names.
interface Abilities extends MediaTrackCapabilities {
  torch?: boolean
  focusMode?: string[]
  zoom?: { min: number; max: number }
}
interface Wish extends MediaTrackConstraintSet {
  torch?: boolean
  focusMode?: string
  zoom?: number
}

const FAULTS: Record<string, CameraFault> = {
  NotAllowedError: 'denied',
  SecurityError: 'denied',
  NotFoundError: 'none',
  OverconstrainedError: 'none',
  NotReadableError: 'busy',
  AbortError: 'busy',
}
const CLOSER = 2

/** The phone would not do it; older browsers have an error of their own for that. */
function isRefusal(error: unknown): boolean {
  return error instanceof DOMException || (error instanceof Error && error.name === 'OverconstrainedError')
}

/** An open camera. What it can do may become known only some time after its picture has begun. */
export class Camera {
  readonly stream: MediaStream
  readonly #track: MediaStreamTrack
  #wish: Wish = {}

  /** Throws CameraError where the stream has no picture. */
  constructor(stream: MediaStream) {
    const track = stream.getVideoTracks()[0]
    if (!track) throw new CameraError('none')
    this.stream = stream
    this.#track = track
  }

  get hasTorch(): boolean {
    return this.#abilities.torch === true
  }

  get hasZoom(): boolean {
    return (this.#abilities.zoom?.max ?? 0) >= CLOSER
  }

  /** False where the phone would not. */
  torch(on: boolean): Promise<boolean> {
    return this.#apply({ torch: on })
  }

  zoom(on: boolean): Promise<boolean> {
    return this.#apply({ zoom: on ? CLOSER : Math.max(1, this.#abilities.zoom?.min ?? 1) })
  }

  /** Focusing by itself, where that can be asked for; the camera's own focus reads as well. */
  async focus(): Promise<void> {
    if (this.#abilities.focusMode?.includes('continuous')) await this.#apply({ focusMode: 'continuous' })
  }

  stop(): void {
    for (const track of this.stream.getTracks()) track.stop()
  }

  get #abilities(): Abilities {
    return (this.#track.getCapabilities?.() ?? {}) as Abilities
  }

  /** Each wish goes with the earlier ones: what is applied replaces all that was before. */
  async #apply(wish: Wish): Promise<boolean> {
    const all = { ...this.#wish, ...wish }
    try {
      await this.#track.applyConstraints({ advanced: [all] })
    } catch (error) {
      if (!isRefusal(error)) throw error
      return false
    }
    this.#wish = all
    return true
  }
}

/** Open the camera at the back, 1920 x 1080 where it can. Throws CameraError. */
export async function openCamera(): Promise<Camera> {
  if (!window.isSecureContext || !navigator.mediaDevices) throw new CameraError('insecure')
  try {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: 'environment', width: { ideal: 1920 }, height: { ideal: 1080 } },
    })
    const camera = new Camera(stream)
    await camera.focus()
    return camera
  } catch (error) {
    if (!(error instanceof DOMException)) throw error
    throw new CameraError(FAULTS[error.name] ?? 'failed', error)
  }
}
