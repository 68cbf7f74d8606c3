/** What an answer about a photo means for it. Pure. */
import type { Answer, Halt } from '../sync/answers.ts'
import type { Problem } from '../sync/views.ts'

/** What the server says of a photo. */
export interface PhotoState {
  readonly epoch: string
  readonly sha256: string
  /** Bytes that have arrived. */
  readonly received: number
  readonly bytes: number
  readonly state: 'wanted' | 'arriving' | 'kept' | 'refused'
  readonly problem: Problem | null
}

export type Verdict =
  | { readonly do: 'go-on'; readonly at: number; readonly again: boolean }
  | { readonly do: 'kept' }
  | { readonly do: 'refuse'; readonly problem: Problem | null }
  /** Not now: the photo waits, and those behind it go on. */
  | { readonly do: 'later'; readonly problem: Problem | null }
  /** There is no use in asking for more now. */
  | { readonly do: 'stop'; readonly halt: Halt }

interface Photo {
  readonly sha256: string
  readonly size: number
}

const AGAIN: Verdict = { do: 'go-on', at: 0, again: true }
const LATER: Verdict = { do: 'later', problem: null }
/** What is wrong with the photo itself, so that sending it once more would change nothing. */
const REFUSED = new Set([413, 415, 422])

/** `again`: it has been begun again once already. */
export function judge(answer: Answer<PhotoState>, photo: Photo, again: boolean): Verdict {
  if (!answer.ok) return judgeHalt(answer, photo, again)
  const { sha256, received, bytes, state, problem } = answer.body
  // An answer about another photo decides nothing about this one.
  if (sha256 !== photo.sha256 || bytes !== photo.size) return LATER
  if (state === 'kept') return { do: 'kept' }
  // It was refused earlier, and here it is in the line: a person may have asked to try it again.
  if (state === 'refused') return again ? { do: 'refuse', problem: problem ?? null } : AGAIN
  return isOffset(received, photo) ? { do: 'go-on', at: received, again: false } : LATER
}

function judgeHalt(halt: Halt, photo: Photo, again: boolean): Verdict {
  const { problem } = halt
  if (!problem || halt.paused !== 'server') return { do: 'stop', halt }
  const received = problem['received']
  if (problem.code === 'wrong-offset' && isOffset(received, photo)) return { do: 'go-on', at: received, again: false }
  // Other bytes arrived than were sent: that can be the way's fault once, hardly twice.
  if (problem.code === 'other-hash' && !again) return AGAIN
  if (REFUSED.has(problem.status)) return { do: 'refuse', problem }
  // Its record may be held back at the server for a person to decide on.
  if (problem.status === 400 || problem.status === 404 || problem.status === 409) return { do: 'later', problem }
  return { do: 'stop', halt }
}

function isOffset(value: unknown, { size }: Photo): value is number {
  return Number.isSafeInteger(value) && (value as number) >= 0 && (value as number) <= size
}

/** PATCH headers and body for the bytes from `at`. */
export function byOffset(bytes: ArrayBuffer, at: number, length: number): RequestInit {
  return {
    method: 'PATCH',
    headers: { 'Content-Type': 'application/offset+octet-stream', 'Upload-Offset': String(at) },
    body: new Uint8Array(bytes, at, length),
  }
}
