import { feel } from '../kit/feel.ts'
import { toasts } from '../kit/toasts.svelte.ts'
import type { AnyRecord } from '../records/kinds.ts'
import { NoRoom, NotSignedIn, PhoneError } from '../sync/errors.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'

type Made = AnyRecord | readonly AnyRecord[]

interface Said<T> {
  /** What the toast says. */
  readonly text: string
  /** What more to set right once the records are taken back. */
  readonly undone?: (made: T) => void
  readonly undoneText?: string
  /** It cannot be taken back, so no undo is offered. */
  readonly final?: boolean
}

/** One way to save from a screen: felt, heard and seen, with ten seconds to take it back. */
export class Saver {
  busy = $state(false)
  /** Why nothing was saved; what was entered is still on the screen. */
  error = $state<string | null>(null)

  /** Resolves with what was saved, or null where nothing was (then `error` says why). */
  async save<T extends Made>(work: () => Promise<T>, said: Said<T>): Promise<T | null> {
    if (this.busy) return null
    this.busy = true
    this.error = null
    try {
      const made = await work()
      feel('saved')
      toasts.say(said.text, said.final ? null : () => void this.#undo(made, said))
      return made
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      feel('refused')
      this.error = t('kit.stillHere', { why: error.message })
      return null
    } finally {
      this.busy = false
    }
  }

  async #undo<T extends Made>(made: T, said: Said<T>): Promise<void> {
    const ids = [made].flat().map((record) => record.id)
    try {
      await phone.undoAll(ids, t('piece.retract.undo'))
      said.undone?.(made)
      toasts.say(said.undoneText ?? t('piece.retract.done'))
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      feel('refused')
      // The form is gone by now: what the error itself says of it would not be so.
      toasts.say(t(`check.notUndone.${why(error)}`), () => void this.#undo(made, said))
    }
  }
}

function why(error: PhoneError): 'full' | 'nobody' | 'other' {
  if (error instanceof NoRoom) return 'full'
  return error instanceof NotSignedIn ? 'nobody' : 'other'
}
