import { parse } from '../label/code.ts'
import { CameraError, openCamera, type Camera, type CameraFault } from './camera.ts'
import { cropFor, secondOpinion, type Size, type Spot } from './crops.ts'
import { Seen } from './seen.ts'
import type { Reading } from './reader.ts'
import type { Answer, Question } from './worker.ts'

export type ScannerState = 'off' | 'starting' | 'reading' | CameraFault | 'reader'

/** A label that is in view now; `middle` in frame pixels. */
export interface InView {
  readonly code: string
  readonly middle: Spot
  readonly at: number
}

export interface Heard {
  onfound(code: string): void
  onforeign(): void
  /** The phone has a light and would not turn it on. */
  onnolight(): void
}

const STAYS_IN_VIEW_MS = 1_200
// A picture is asked for at most this often: reading every frame only warms the phone.
const BETWEEN_MS = 60
// Some phones know what their camera can do only half a second into the picture.
const LATE_MS = 500

/** How the light was last set: it is dark at the next tank too. Off again with the app. */
const light = { on: false }

/** Camera, reader and what is in view: started and stopped by the screen that shows the picture. */
export class Scanner {
  state = $state<ScannerState>('off')
  /** What the phone's camera offers, as far as is known. */
  can = $state.raw({ torch: false, zoom: false })
  torchOn = $state(false)
  zoomOn = $state(false)
  inView = $state.raw<readonly InView[]>([])
  frame = $state.raw<Size>({ width: 0, height: 0 })
  /** More than one label is in view: it is then the person who picks one. */
  several = $state(false)

  #camera: Camera | null = null
  #worker: Worker | null = null
  #video: HTMLVideoElement | null = null
  #heard: Heard
  #seen = new Seen()
  #turn = 0
  /** A label just read, held until one look at the whole frame shows whether it is alone. */
  #held: InView | null = null
  #run = 0

  constructor(heard: Heard) {
    this.#heard = heard
  }

  async start(video: HTMLVideoElement): Promise<void> {
    this.stop()
    const run = (this.#run += 1)
    this.#video = video
    this.state = 'starting'
    this.#startReader()
    try {
      const camera = await openCamera()
      // The screen may have gone while the phone was asking for leave.
      if (run !== this.#run) return camera.stop()
      this.#camera = camera
      video.srcObject = camera.stream
      await video.play()
    } catch (error) {
      if (run === this.#run) this.state = this.#fault(error)
      return
    }
    if (run !== this.#run) return
    this.state = 'reading'
    this.#learn(run)
    setTimeout(() => this.#learn(run), LATE_MS)
    void this.#ask(run)
  }

  stop(): void {
    this.#run += 1
    // With the camera its light goes out: a page that is not seen must not shine.
    this.#camera?.stop()
    this.#camera = null
    this.can = { torch: false, zoom: false }
    this.#worker?.terminate()
    this.#worker = null
    if (this.#video) this.#video.srcObject = null
    this.torchOn = this.zoomOn = false
    this.inView = []
    this.several = false
    this.#held = null
    this.state = 'off'
  }

  async setTorch(on: boolean): Promise<void> {
    if (!(await this.#camera?.torch(on))) return this.#heard.onnolight()
    this.torchOn = light.on = on
  }

  async setZoom(on: boolean): Promise<void> {
    if (await this.#camera?.zoom(on)) this.zoomOn = on
  }

  #learn(run: number): void {
    const camera = this.#camera
    if (run !== this.#run || !camera) return
    const { hasTorch: torch, hasZoom: zoom } = camera
    const news = torch && !this.can.torch
    this.can = { torch, zoom }
    if (news && light.on) void this.setTorch(true)
  }

  #fault(error: unknown): ScannerState {
    if (error instanceof CameraError) return error.fault
    if (error instanceof DOMException) return 'failed'
    throw error
  }

  #startReader(): void {
    this.#worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' })
    this.#worker.onmessage = ({ data }: MessageEvent<Answer>) => this.#hear(data)
    this.#worker.onerror = () => (this.state = 'reader')
  }

  async #ask(run: number): Promise<void> {
    const video = this.#video
    if (run !== this.#run || !video || !this.#worker || this.state !== 'reading') return
    const frame = { width: video.videoWidth, height: video.videoHeight }
    if (frame.width === 0) return this.#later(run)
    this.frame = frame
    const many = this.several || this.#held !== null
    // Turned even: a look round is at the whole frame as it is.
    const crop = cropFor(this.#held ? 0 : this.#turn, frame, many)
    const picture = await createImageBitmap(video, crop.x, crop.y, crop.width, crop.height)
    if (run !== this.#run) return picture.close()
    const question: Question = { picture, crop, many, second: secondOpinion(this.#turn) }
    this.#worker.postMessage(question, [picture])
  }

  #later(run: number): void {
    setTimeout(() => void this.#ask(run), BETWEEN_MS)
  }

  #hear(answer: Answer): void {
    if (answer.fault !== undefined) {
      this.state = 'reader'
      return
    }
    this.#turn += 1
    const now = performance.now()
    const read = this.#labels(answer.readings, now)
    if (answer.many) this.#lookedRound(read, now)
    else this.#looked(read, now)
    this.#later(this.#run)
  }

  #labels(readings: readonly Reading[], now: number): InView[] {
    const read: InView[] = []
    for (const { text, middle } of readings) {
      const label = parse(text)
      if (label.ok) read.push({ code: label.code, middle, at: now })
      else if (this.#seen.sureForeign(text, now)) this.#heard.onforeign()
    }
    return read
  }

  #looked(read: readonly InView[], now: number): void {
    const one = read[0]
    if (!one) return
    if (this.#seen.isFresh(one.code, now)) this.#held = one
    else this.#seen.mark(one.code, now)
  }

  #lookedRound(read: readonly InView[], now: number): void {
    const before = this.inView.filter((one) => now - one.at < STAYS_IN_VIEW_MS)
    const all = [...before, ...(this.#held ? [this.#held] : []), ...read]
    this.inView = [...new Map(all.map((one) => [one.code, one])).values()]
    this.several = this.inView.length > 1
    const held = this.#held
    this.#held = null
    if (this.several || !held) return
    this.inView = []
    this.#seen.mark(held.code, now)
    this.#heard.onfound(held.code)
  }
}
