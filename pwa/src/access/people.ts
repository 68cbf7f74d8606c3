/** People, phones and what is held for a lead, as the server tells them. Times are UTC milliseconds. */
import type { Problem } from '../sync/views.ts'

export type Role = 'keeper' | 'lead' | 'owner'

export interface Member {
  readonly id: string
  readonly name: string
  readonly role: Role
  readonly has_pin: boolean
  readonly made_at: number
  /** When this person was signed out for good; null while here. */
  readonly left_at: number | null
}

/** Somebody who may hold a shared phone. */
export interface CrewMember {
  readonly id: string
  readonly name: string
  readonly has_pin: boolean
}

export interface Device {
  readonly id: string
  readonly name: string
  readonly shared: boolean
  /** Whose it is, or who holds it now; null for a shared one that nobody holds. */
  readonly holder: string | null
  readonly made_at: number
  readonly seen_at: number | null
  readonly removed_at: number | null
  /** Records of it that wait for a lead. */
  readonly quarantined: number
}

/** A pairing code: `address` is what the other phone opens. */
export interface Pairing {
  readonly token: string
  readonly expires_at: number
  readonly address: string
}

/** Under which addresses this server is reached, and what is wrong with them. */
export interface Reach {
  readonly addresses: readonly { readonly url: string; readonly stable: boolean }[]
  /** The page that hands out the farm's certificate; null where phones trust it anyway. */
  readonly onboarding: string | null
  readonly certificate: { readonly from: number; readonly until: number; readonly names: readonly string[] } | null
  readonly warnings: readonly string[]
}

export const WHYS = ['device-revoked', 'person-revoked', 'other-device', 'other-person', 'needs-lead', 'taken-in'] as const
export type Why = (typeof WHYS)[number]

/** What names a group of held records. */
export interface GroupKey {
  readonly device: string
  readonly staff: string
  readonly why: Why
}

/** Records of one phone and one person that wait for a lead for one reason. */
export interface Group extends GroupKey {
  readonly device_name: string | null
  readonly staff_name: string | null
  /** How many wait for a decision. */
  readonly count: number
  /** How many were set aside before; they can still be admitted. */
  readonly set_aside: number
  readonly first_at: number
  readonly last_at: number
  /** Of both. */
  readonly kinds: Readonly<Record<string, number>>
}

/** Something that could not be taken at all. */
export interface Refusal {
  readonly digest: string
  readonly record_id: string | null
  readonly device: string
  readonly received: number
  readonly problem: Problem
}

export interface Quarantine {
  readonly groups: readonly Group[]
  readonly refused: readonly Refusal[]
  readonly refused_count: number
}

export interface Admitted {
  readonly stored: number
  readonly duplicate: number
  readonly later: number
  readonly refused: number
}

/** One line of what was changed among people and phones. */
export interface Change {
  readonly id: number
  readonly at: number
  readonly who: string | null
  readonly device: string | null
  readonly what: string
  readonly about: string | null
  readonly detail: Readonly<Record<string, unknown>>
}
