/** Why the server did not do what was asked of it, in the app's own words where it has them. Pure. */
import { t } from '../words/index.ts'
import { PhoneError } from '../sync/errors.ts'
import { lengthWords } from './countdown.ts'
import type { Fault } from './fault.ts'
import { Declined, NoAnswer } from './server.ts'

const KNOWN = ['weak-pin', 'weak-password', 'last-owner'] as const
const isKnown = (code: string): code is (typeof KNOWN)[number] => (KNOWN as readonly string[]).includes(code)

/** Why there is nothing newer to show. */
export function whyNothing(error: Fault): string {
  if (error instanceof NoAnswer) return t('people.failed.unreached')
  return error instanceof Declined || error instanceof PhoneError ? whyNot(error) : t('people.failed.stranger')
}

/** What became of something asked of the server but records, as far as it is known, and what to do. */
export function whyNot(error: Fault): string {
  if (error instanceof PhoneError) return error.message
  if (!(error instanceof Declined)) return t(error instanceof NoAnswer ? 'people.failed.offline' : 'people.failed.notOurs')
  const { code, title, detail } = error.problem
  return isKnown(code) ? t(`people.failed.${code}`) : t('people.failed.declined', { title, detail })
}

/** For one's own PIN or password: the one until now was not the one that was typed. */
export function whyNotOwn(error: Fault): string {
  const code = error instanceof Declined ? error.problem.code : ''
  return code === 'wrong-pin' || code === 'wrong-password' ? t('people.you.wrongOld') : whyNot(error)
}

/** What a pairing code or link that does not open the door is told, and what to do about it. */
const LINKS = ['link-unknown', 'link-used', 'link-expired', 'wrong-password'] as const
const isLink = (code: string): code is (typeof LINKS)[number] => (LINKS as readonly string[]).includes(code)

export function whyNotIn(error: Fault): string {
  if (error instanceof PhoneError) return error.message
  if (!(error instanceof Declined)) return t(error instanceof NoAnswer ? 'access.failed.offline' : 'access.failed.notOurs')
  const { code, title, detail } = error.problem
  return isLink(code) ? t(`access.failed.${code}`) : t('access.failed.server', { title, detail })
}

/** Why a PIN did not give the phone into somebody's hands. */
export interface PinAnswer {
  readonly text: string
  /** How long to wait before the next try, in milliseconds. */
  readonly wait: number
  /** There is no PIN to type. */
  readonly none: boolean
}

export function whyNotHeld(error: Fault, name: string): PinAnswer {
  const problem = error instanceof Declined ? error.problem : null
  const said = (text: string, wait = 0, none = false): PinAnswer => ({ text, wait, none })
  const [tries, seconds] = [problem?.['tries_left'], problem?.['wait_s']]
  if (problem?.code === 'wrong-pin' && typeof tries === 'number') return said(t('people.pin.wrong', { name, count: tries }))
  if (problem?.code === 'pin-locked' && typeof seconds === 'number') {
    const wait = seconds * 1000
    return said(t('people.pin.tooMany', { name, time: lengthWords(wait) }), wait)
  }
  return problem?.code === 'no-pin' ? said(t('people.pin.none', { name }), 0, true) : said(whyNot(error))
}
