/** A phone of the farm in a few words. Pure. */
import { age, day, t } from '../words/index.ts'
import type { Device } from './people.ts'

/** Whose it is, or who holds it now. */
export function whose({ shared, holder }: Device, nameOf: (id: string) => string): string {
  if (!shared) return holder === null ? t('phones.ofNobody') : t('phones.of', { name: nameOf(holder) })
  return holder === null ? t('phones.sharedFree') : t('phones.sharedHeld', { name: nameOf(holder) })
}

/** `now` in milliseconds. */
export function whenSeen({ seen_at, removed_at }: Device, now: number): string {
  if (removed_at !== null) return t('phones.goneOn', { day: day(removed_at) })
  return seen_at === null ? t('phones.neverSeen') : t('phones.seen', { age: age(seen_at, now) })
}

const LOOPBACK = new Set(['localhost', '127.0.0.1', '[::1]'])

/** Whether an address leads any other phone to itself instead of to this server. */
export function isHereOnly(address: string): boolean {
  return LOOPBACK.has(new URL(address).hostname)
}

export function phoneNameProblem(typed: string): string | null {
  return typed.trim() === '' ? t('phones.nameNeeded') : null
}
