import { CameraError, openCamera, type Camera, type CameraFault } from '../scan/camera.ts'
import type { Answer, Question } from '../scan/worker.ts'

const BETWEEN_MS = 150

/** The camera held to a pairing code: every text it reads is told, until it is stopped. */
export class CodeCamera {
  state = $state<'starting' | 'reading' | 'reader' | CameraFault>('starting')
  readonly #told: (text: string) => void
  #camera: Camera | null = null
  #worker: Worker | null = null
  #timer: ReturnType<typeof setTimeout> | undefined
  #over = false

  constructor(told: (text: string) => void) {
    this.#told = told
  }

  async start(video: HTMLVideoElement): Promise<void> {
    try {
      const camera = await openCamera()
      // The screen may have gone while the phone was asking for leave.
      if (this.#over) return camera.stop()
      this.#camera = camera
      video.srcObject = camera.stream
      await video.play()
    } catch (error) {
      if (!(error instanceof CameraError || error instanceof DOMException)) throw error
      this.state = error instanceof CameraError ? error.fault : 'failed'
      return
    }
    if (this.#over) return
    this.state = 'reading'
    this.#worker = new Worker(new URL('../scan/worker.ts', import.meta.url), { type: 'module' })
    this.#worker.onmessage = ({ data }: MessageEvent<Answer>) => this.#hear(data, video)
    this.#worker.onerror = () => (this.state = 'reader')
    void this.#look(video)
  }

  stop(): void {
    this.#over = true
    clearTimeout(this.#timer)
    this.#camera?.stop()
    this.#worker?.terminate()
  }

  /** The whole frame: a code on a screen is large and sharp, unlike a label on a wet base. */
  async #look(video: HTMLVideoElement): Promise<void> {
    const [width, height] = [video.videoWidth, video.videoHeight]
    if (width === 0) return this.#later(video)
    const picture = await createImageBitmap(video)
    if (this.#over) return picture.close()
    const question: Question = { picture, crop: { x: 0, y: 0, width, height, scale: 1 } }
    this.#worker?.postMessage(question, [picture])
  }

  #later(video: HTMLVideoElement): void {
    if (!this.#over) this.#timer = setTimeout(() => void this.#look(video), BETWEEN_MS)
  }

  #hear(answer: Answer, video: HTMLVideoElement): void {
    if (answer.fault !== undefined) {
      this.state = 'reader'
      return
    }
    for (const { text } of answer.readings) this.#told(text)
    this.#later(video)
  }
}
