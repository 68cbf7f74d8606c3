/**
 * Codes that are to be put on nothing, as far as this phone knows. The server's list only grows, so
 * a phone fetches what is new and keeps it: without a network it goes by what it knew last. A code
 * that was voided since is still taken, here and by the server, and is flagged under Prints.
 */
import { ask, ServerError, type Fetch } from '../access/server.ts'
import type { components } from '../api/schema'
import { keep, kept } from '../kit/kept.ts'

type Answer = components['schemas']['VoidCodes']

export interface Known {
  readonly epoch: string
  readonly last: number
  /** One after another: eight characters each. */
  readonly codes: string
}

const NAME = 'labels.void'
const LENGTH = 8

export function isKnownVoid(known: Known | undefined, code: string): boolean {
  if (typeof known?.codes !== 'string') return false
  for (let at = known.codes.indexOf(code); at !== -1; at = known.codes.indexOf(code, at + 1)) {
    if (at % LENGTH === 0) return true
  }
  return false
}

/** What is known with an answer to `after: known.last`; another database's list begins anew. */
export function withNew(known: Known | undefined, answer: Answer): Known {
  const before = known?.epoch === answer.epoch ? known.codes : ''
  return { epoch: answer.epoch, last: answer.last, codes: before + answer.codes.join('') }
}

/** Whether this phone knows the code to be void. */
export function isVoid(code: string): boolean {
  return isKnownVoid(kept<Known>(NAME), code)
}

function isAnswer(value: unknown): value is Answer {
  const found = value as Partial<Answer> | null
  return Array.isArray(found?.codes) && typeof found.last === 'number' && typeof found.epoch === 'string'
}

/** Fetch what is new. Never rejects for want of a network: what was known stays. */
export async function refreshVoids(fetcher: Fetch = fetch): Promise<void> {
  let known = kept<Known>(NAME)
  try {
    for (let more = true; more; ) {
      const answer = await ask(fetcher, `/api/labels/void?after=${known?.last ?? 0}`, isAnswer)
      const another = known !== undefined && known.epoch !== answer.epoch
      // Another database's list is asked for from its beginning.
      known = another ? { epoch: answer.epoch, last: 0, codes: '' } : withNew(known, answer)
      more = another || answer.more
      keep(NAME, known)
    }
  } catch (error) {
    if (!(error instanceof ServerError)) throw error
  }
}
