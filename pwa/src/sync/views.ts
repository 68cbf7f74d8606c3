/** What the screens are shown. Plain data; a new object each time something changed. */
import type { BodyOf, Entry, Kind, SubjectOf, WireRecord } from '../records/kinds.ts'
import type { CutNumber } from '../stock/lineage.ts'
import type { PieceState, Stage } from '../stock/state.ts'

export interface Staff {
  readonly id: string
  readonly name: string
  readonly role: 'owner' | 'lead' | 'keeper'
}

/** This phone as the server last said; `staff` is null where it is shared and nobody holds it. */
export interface Paired {
  readonly epoch: string
  readonly staff: Staff | null
  /** `shared`: passed from hand to hand, its holder chosen by PIN. */
  readonly device: { readonly id: string; readonly name: string; readonly shared?: boolean }
  readonly version: string
  readonly demo: boolean
}

/** Who is at this phone: a pairing with a person. */
export interface Me extends Paired {
  readonly staff: Staff
}

/** Somebody's key in records, and their name. */
export interface Named {
  readonly id: string
  readonly name: string
  /** Signed out for good: can never be at a phone again to send what is theirs. */
  readonly left?: boolean
}

/** RFC 9457: what the server had against a record or a request. */
export interface Problem {
  readonly type: string
  readonly title: string
  readonly status: number
  readonly detail: string
  readonly code: string
  readonly [extra: string]: unknown
}

/** A piece with what follows from its lineage. */
export interface PieceView {
  readonly id: string
  readonly state: PieceState
  /** The newest code that this piece holds (a code another piece bound first is not held). */
  readonly code: string | null
  /** Codes it was given that another piece holds. Needs a look. */
  readonly lost_codes?: readonly string[]
  readonly species: string | null
  readonly line: string | null
  readonly number: CutNumber
  /** The tank of its tray, or its own where it stands in a tank without a tray. */
  readonly tank: string | null
}

/** A forebear, nearest first; `state` is null where the phone has not heard of it yet. */
export interface Ancestor {
  readonly id: string
  /** The cut it was the mother of. */
  readonly cut: string
  readonly state: PieceState | null
}

/** `waiting` and `refused` are still in the outbox. */
export type Sent = 'sent' | 'waiting' | 'refused'

export interface PieceRecord extends Entry {
  readonly sent: Sent
  /** Taken back; shown struck through, counts for nothing. */
  readonly retracted: boolean
}

export interface WholePiece extends PieceView {
  readonly lineage: readonly Ancestor[]
  /** Its own records, its cuts and what became of it, oldest first. */
  readonly records: readonly PieceRecord[]
}

export interface CutView {
  readonly id: string
  readonly at: number
  /** Id of the record that made the cut known. */
  readonly record: string
  readonly body: BodyOf<'cut'>
  readonly ended: BodyOf<'cut_end'> | null
}

/** A piece that was given a label which another piece had first. */
export interface Robbed {
  readonly piece: PieceView
  readonly code: string
  readonly holder: PieceView | null
}

/** All conditions must hold; an absent one always does. */
export interface PieceFilter {
  readonly stages?: readonly Stage[]
  readonly tray?: string
  readonly tank?: string
  readonly purpose?: 'sale' | 'hold'
  readonly species?: string
  readonly cut?: string
  readonly flagged?: boolean
}

/** A record on its way to the server. */
export interface Waiting {
  readonly record: WireRecord
  readonly state: 'waiting' | 'refused'
  readonly problem: Problem | null
  readonly saved_at: number
  readonly tries: number
}

/** What the server said of a record that it took: a clock that is off, or that a lead must decide. */
export interface Note {
  readonly record: string
  readonly staff: string
  /** When it was said, by the server's clock. */
  readonly at: number
  /** Kept safely by the server, and not yet among the farm's records. */
  readonly held: boolean
  /** A lead set it aside: it counts for nothing, here as everywhere. */
  readonly aside?: boolean
  readonly said: readonly string[]
}

/** What is known of records that went when the browser emptied this phone's storage. */
export interface Loss {
  readonly device: string
  /** When it was noticed. */
  readonly at: number
  /** The last number this device had given out; null where nothing remembers. */
  readonly last: number | null
  /** How many records were waiting to be sent, and since when; null where nothing remembers. */
  readonly unsent: number | null
  readonly oldest: number | null
  /** How many photos were not at the server; absent in what an older version noted. */
  readonly photos?: number | null
  /** The highest number that had reached the server; null until it has said so. */
  readonly highest: number | null
  /** Numbers that the server lacks and that are not here either: proof of what is gone. */
  readonly missing: readonly number[]
}

/** Why nothing is being sent. The outbox keeps everything in the meantime. */
export type Paused =
  | 'offline' // no answer at all
  | 'not-ours' // an answer, but not our server's: a sign-in page of the network, a proxy
  | 'server' // our server says it cannot take anything now
  | 'signed-out' // 401
  | 'revoked' // 401 for good: what waits is still taken, for a lead to decide on
  | 'not-held' // 401: a shared phone, and nobody has said who holds it
  | 'not-allowed' // 403: the person at this phone has no right to it
  | 'other-person' // what waits was recorded by somebody who is not signed in now

/** What a screen wants recorded; the phone adds id, time, person and device. */
export interface Draft<K extends Kind = Kind> {
  readonly kind: K
  readonly subject: SubjectOf<K>
  readonly body: BodyOf<K>
}
export type AnyDraft = { [K in Kind]: Draft<K> }[Kind]
