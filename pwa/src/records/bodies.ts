/** The body of each kind of record. A field that was not looked at is absent, never a default. */
import type {
  Code,
  Day,
  Digits,
  Disinfectant,
  Encrustation,
  Endpoint,
  Expansion,
  FieldValue,
  Found,
  Id,
  Key,
  ListName,
  LossSign,
  Mouth,
  MouthsKept,
  Place,
  Purpose,
  Reading,
  Recession,
  Sign,
  SourceCode,
} from './fields.ts'

export interface Bodies {
  arrival: {
    readonly line: string
    readonly species: Key
    readonly origin: 'wild' | 'farmed' | 'unknown'
    readonly documents?: readonly string[]
    readonly cut_number?: number
    readonly mouths?: number
    readonly size_mm?: number
    readonly code?: Code
    readonly quarantine_days?: number
    readonly came_from?: string
    readonly came_on?: Day
    readonly document?: string
    readonly source_code?: SourceCode
  }
  cut: {
    readonly sitting: Id
    readonly mother: Id
    readonly method: Key
    readonly blade?: Key
    readonly blade_state?: 'new' | 'good' | 'worn'
    readonly operator?: string
    readonly reservoir_l?: Digits
    readonly disinfectant?: Disinfectant
    readonly trial?: Key
  }
  glue: {
    readonly cut: Id
    readonly base: Key
    readonly purpose: Purpose
    readonly code?: Code
    readonly mouths_kept?: MouthsKept
    readonly size_mm?: number
    readonly encrustation?: Encrustation
    readonly tray?: Key
    readonly place?: Place
    readonly arm?: Key
  }
  cut_end: { readonly remains: 'used-up' | 'same-base' | 'new-base'; readonly base?: Key }
  bind: { readonly code: Code }
  check: {
    readonly expansion?: Expansion
    readonly mouth?: Mouth
    readonly encrustation?: Encrustation
    readonly recession?: Recession
    readonly signs?: readonly Sign[]
    readonly lights?: 'on' | 'off'
    readonly planned?: boolean
    readonly swept?: boolean
    readonly found?: Found
  }
  ready: { readonly for: Endpoint }
  loss: { readonly how: 'dead' | 'missing'; readonly sign?: LossSign; readonly cause?: Key }
  exit: { readonly how: 'dispatched' | 'culled' | 'given'; readonly to?: string }
  move: { readonly tray?: Key; readonly place?: Place; readonly tank?: Key }
  purpose: { readonly purpose: Purpose }
  care: {
    readonly what: 'feed' | 'supplement' | 'dose' | 'dip' | 'water-change' | 'light-change' | 'export'
    readonly name?: string
    readonly amount?: Digits
    readonly unit?: string
  }
  water: { readonly readings: readonly Reading[] }
  photo: {
    readonly sha256: string
    readonly bytes: number
    readonly media: 'image/jpeg' | 'image/png' | 'image/webp'
    readonly day0?: boolean
  }
  note: { readonly text: string; readonly about?: 'colour' }
  define: {
    readonly list: ListName
    readonly fields: Readonly<Record<string, FieldValue>>
    readonly retired?: boolean
  }
  retract: { readonly why: string }
}

export type Kind = keyof Bodies
