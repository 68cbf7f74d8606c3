/** A phone of the farm in a few words. Pure. */
import { age, day, t } from '../words/index.ts'
import type { Device, Reach } from './people.ts'

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

/**
 * Why a phone should not be paired under the address this page was opened at: what is recorded on a
 * phone belongs to one address, and is out of reach once that has changed. Null where all is well.
 */
export function addressProblem(addresses: Reach['addresses'], origin: string): string | null {
  const here = addresses.find(({ url }) => new URL(url).origin === origin)
  if (here?.stable !== false) return null
  const better = addresses.find((one) => one.stable)
  return better ? t('phones.pair.openUnder', { url: better.url }) : t('phones.pair.noStable')
}

export function phoneNameProblem(typed: string): string | null {
  return typed.trim() === '' ? t('phones.nameNeeded') : null
}
