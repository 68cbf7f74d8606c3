/**
 * A check that is half-made. It outlives its screen: only saving it, beginning anew or leaving a
 * photo out drops what is in it. Answers are written down too (away.ts); photos are held in memory
 * for as long as the app is open, since a phone's small storage is no place for megabytes.
 */
import { drafts } from '../kit/drafts.svelte.ts'
import { mayHave } from '../kit/kept.ts'
import type { Shot } from '../photos/shot.ts'
import { anything, NONE, type Answers } from './answers.ts'
import { forget, found, FRESH_MS, leave } from './away.ts'

/** What was there before it was dropped, so that it can be put back. */
export interface Before {
  readonly answers: Answers
  readonly shots: readonly Shot[]
}

const EMPTY: Before = { answers: NONE, shots: [] }
const held = new Map<string, HalfCheck>()

export class HalfCheck {
  readonly piece: string
  /** When it was last added to. */
  at: number
  #staff: string | null
  // Beside each what is drawn, what is so: while a screen is taken down its states are read as they
  // were before.
  #drawn = $state.raw<Before>(EMPTY)
  #now: Before = EMPTY
  #makingDrawn = $state(false)
  #makingNow = false
  #open = false
  #letGo: (() => void) | null = null
  #timer: ReturnType<typeof setTimeout> | undefined

  constructor(piece: string, staff: string | null, now: number) {
    const left = found(piece, staff, now)
    this.piece = piece
    this.#staff = staff
    this.at = left?.at ?? now
    if (left) this.#show({ ...EMPTY, answers: { ...NONE, ...left.answers } })
  }

  get answers(): Answers {
    return this.#drawn.answers
  }

  get shots(): readonly Shot[] {
    return this.#drawn.shots
  }

  /** A photo is being made small. */
  get making(): boolean {
    return this.#makingDrawn
  }

  set making(making: boolean) {
    this.#makingDrawn = this.#makingNow = making
    this.#hold()
  }

  /** Whether there is anything a person would miss. Not drawn anew where it changes. */
  get any(): boolean {
    return anything(this.#now.answers) || this.#now.shots.length > 0 || this.#makingNow
  }

  mayHave(staff: string | null): boolean {
    return mayHave(this.#staff, staff)
  }

  answer(changes: Partial<Answers>): void {
    this.#be({ ...this.#now, answers: { ...this.#now.answers, ...changes } })
  }

  photos(shots: readonly Shot[]): void {
    this.#be({ ...this.#now, shots })
  }

  /** Drop all of it: it is saved, or to be begun anew. */
  drop(): Before {
    const before = this.#now
    this.#be(EMPTY)
    return before
  }

  restore(before: Before): void {
    this.#be(before)
  }

  /** Its form stands. What was seen too long ago does not count as seen now. */
  open(staff: string | null, now: number): void {
    clearTimeout(this.#timer)
    if (now - this.at >= FRESH_MS) this.#show({ ...this.#now, answers: NONE })
    this.#open = true
    this.#hold()
    if (this.#staff !== null || staff === null) return
    this.#staff = staff
    this.#note()
  }

  /** Its form is gone. No update sweeps its photos away for as long as answers are kept. */
  close(): void {
    this.#open = false
    this.#hold()
    this.#timer = setTimeout(() => this.free(), FRESH_MS)
  }

  /** An update need not wait for it any more. */
  free(): void {
    clearTimeout(this.#timer)
    this.#letGo?.()
    this.#letGo = null
  }

  #be(now: Before): void {
    this.#show(now)
    this.at = Date.now()
    this.#note()
    this.#hold()
  }

  #show(now: Before): void {
    this.#now = this.#drawn = now
  }

  /** Answers alone are written down and outlive a reload once their form is gone. */
  #hold(): void {
    const wanted = this.#open ? this.any : this.#now.shots.length > 0 || this.#makingNow
    if (wanted) this.#letGo ??= drafts.hold()
    else this.free()
  }

  #note(): void {
    const { answers } = this.#now
    if (anything(answers)) leave({ piece: this.piece, staff: this.#staff, at: this.at, answers })
    else forget(this.piece)
  }
}

/** The check of a piece as this person left it, else an empty one; what somebody else left is dropped. */
export function halfCheck(piece: string, staff: string | null, now = Date.now()): HalfCheck {
  if (staff !== null) dropOthers(staff)
  const there = held.get(piece)
  const half = there?.mayHave(staff) ? there : new HalfCheck(piece, staff, now)
  half.open(staff, now)
  if (!there) held.set(piece, half)
  return half
}

function dropOthers(staff: string): void {
  for (const [piece, one] of held) {
    if (one.mayHave(staff)) continue
    // Its form may still stand, where the phone changed hands in another tab.
    one.drop()
    held.delete(piece)
  }
}
