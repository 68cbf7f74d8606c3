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

export interface Camera {
  readonly stream: MediaStream
  /** Null where the phone offers none. */
  readonly torch: ((on: boolean) => Promise<void>) | null
  readonly zoom: ((on: boolean) => Promise<void>) | null
  stop(): void
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

function apply(track: MediaStreamTrack, wish: Wish): Promise<void> {
  return track.applyConstraints({ advanced: [wish] })
}

async function ask(): Promise<MediaStream> {
  if (!window.isSecureContext || !navigator.mediaDevices) throw new CameraError('insecure')
  try {
    return await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: { facingMode: 'environment', width: { ideal: 1920 }, height: { ideal: 1080 } },
    })
  } catch (error) {
    if (!(error instanceof DOMException)) throw error
    throw new CameraError(FAULTS[error.name] ?? 'failed', error)
  }
}

async function focus(track: MediaStreamTrack, abilities: Abilities): Promise<void> {
  if (!abilities.focusMode?.includes('continuous')) return
  try {
    await apply(track, { focusMode: 'continuous' })
  } catch (error) {
    // Offered but not kept to on some phones; the camera's own focus still reads.
    if (!(error instanceof DOMException)) throw error
  }
}

/**
 * Open the camera at the back, 1920 x 1080 where it can, focusing by itself.
 * Throws CameraError.
 */
export async function openCamera(): Promise<Camera> {
  const stream = await ask()
  const track = stream.getVideoTracks()[0]
  if (!track) throw new CameraError('none')
  const abilities = (track.getCapabilities?.() ?? {}) as Abilities
  await focus(track, abilities)
  const zoom = abilities.zoom
  return {
    stream,
    torch: abilities.torch ? (on) => apply(track, { torch: on }) : null,
    zoom: zoom && zoom.max >= CLOSER ? (on) => apply(track, { zoom: on ? CLOSER : Math.max(1, zoom.min) }) : null,
    stop: () => stream.getTracks().forEach((one) => one.stop()),
  }
}
