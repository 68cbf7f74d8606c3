/** People, phones and what is held for a lead, as the server tells them. Times are UTC milliseconds. */
import type { components } from '../api/schema.d.ts'

type Schemas = components['schemas']
type Frozen<T> = T extends (infer E)[]
  ? readonly Frozen<E>[]
  : T extends object
    ? { readonly [K in keyof T]: Frozen<T[K]> }
    : T
type Told<K extends keyof Schemas> = Frozen<Schemas[K]>

/** `left_at` is when this person was signed out for good; null while here. */
export type Member = Told<'PersonView'>
export type Role = Member['role']

/** Somebody who may hold a shared phone. */
export type CrewMember = Told<'CrewMember'>

/**
 * `holder` is whose it is, or who holds it now: null for a shared one that nobody holds. `quarantined`
 * counts its records that wait for a lead.
 */
export type Device = Told<'DeviceRow'>

/** A pairing code: `address` is what the other phone opens. */
export type Pairing = Told<'Pairing'>

/** Under which addresses this server is reached; `onboarding` is the page with the certificate. */
export type Reach = Told<'ReachView'>

/** What names a group of held records. */
export type GroupKey = Told<'Which'>
export type Why = GroupKey['why']

/** Records of one phone and one person that wait for a lead, or were set aside, for one reason. */
export type Group = Told<'WaitingGroup'>

/** Something that could not be taken at all. */
export type Refusal = Told<'Refused'>
export type Quarantine = Omit<Told<'InQuarantine'>, 'epoch'>
export type Admitted = Omit<Told<'Admitted'>, 'epoch'>

export type What = Told<'Entry'>['what']
/** One line of what was changed; `what` may be of a newer server than this app. */
export type Change = Omit<Told<'Entry'>, 'what'> & { readonly what: string }
export type Changes = Omit<Told<'Entries'>, 'epoch' | 'entries'> & { readonly entries: readonly Change[] }
