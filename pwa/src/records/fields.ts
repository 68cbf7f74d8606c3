/** The small types that bodies of records are made of; the server checks the same shapes again. */

/** UUIDv7 made on the device, lower case. */
export type Id = string
/** Id of a list entry, a person or a device, such as `method.band-saw`. */
export type Key = string
/** Label code, no hyphen. */
export type Code = string
/** Place in the tray's map, such as `B7`. */
export type Place = string
/** A local date, `2026-03-01`. */
export type Day = string
/** A number as typed, with a point: a float would change it. */
export type Digits = string
/** UTC to the millisecond, `2026-03-01T10:00:00.000Z`. */
export type Moment = string

/** As typed from a document, never derived (CITES). */
export type SourceCode = 'W' | 'R' | 'C' | 'F' | 'I' | 'O' | 'X' | 'U'
export type Purpose = 'sale' | 'hold'
/** How a looked-at piece was found: its label read, its code typed off it, or its place in the tray. */
export type Found = 'scan' | 'typed' | 'place'
export type Mouth = 'none' | 'bud' | 'open' | 'feeding'
export type Recession = 'none' | 'rim' | 'quarter' | 'half' | 'more'
export type Expansion = 'closed' | 'half' | 'full'
export type Endpoint = 'sale' | 'cut'
/** Five steps: 0 none, 1 a quarter, 2 half, 3 most, 4 all. */
export type Encrustation = 0 | 1 | 2 | 3 | 4
export type Sign =
  | 'algae'
  | 'bleached'
  | 'sloughing'
  | 'brown-jelly'
  | 'skeleton'
  | 'pest'
  | 'loose'
  | 'retracted'
export type LossSign =
  | 'bare'
  | 'film'
  | 'overgrown'
  | 'bleached'
  | 'sloughing'
  | 'brown-jelly'
  | 'algae'
  | 'skeleton'
  | 'gone'
export type ListName =
  | 'species'
  | 'base'
  | 'method'
  | 'blade'
  | 'cause'
  | 'tray'
  | 'tank'
  | 'settings'
  | 'trial'
  | 'sheet'
  | 'printer'
export type SubjectKind = 'piece' | 'cut' | 'tray' | 'tank' | 'item' | 'record'
export type MouthsKept = 'none' | 'part' | number
export type FieldValue = string | number | boolean | string[] | null

export interface Subject<K extends SubjectKind = SubjectKind> {
  readonly kind: K
  readonly id: Key
}

/** When it was seen, by the device's own clock; `tick` (ms) only grows within one `session`. */
export interface Observed {
  readonly at: Moment
  /** Minutes east of UTC there and then. */
  readonly offset: number
  /** IANA name of the device's zone. */
  readonly zone: string
  readonly session?: Key
  readonly tick?: number
}

/** What was in the saw's water, as typed, and where the dose comes from. No default exists. */
export interface Disinfectant {
  readonly what: string
  readonly dose: Digits
  readonly unit: string
  readonly source: string
}

/** One water reading. `below` marks 'below L', where the test ends; `at_c` its temperature. */
export interface Reading {
  readonly quantity: Key
  readonly value: Digits
  readonly unit: string
  readonly below?: boolean
  readonly at_c?: Digits
}
