/**
 * Handing over. Who was signed out for good is answered nothing any more but this: what was recorded
 * on the phone and not sent is still taken, by whomever, and kept for a lead to decide on.
 */
import type { Fetch, Halt } from './answers.ts'
import type { Database } from './database.ts'
import { pushNothing } from './numbers.ts'
import type { Outbox } from './outbox.ts'
import { push, type Pushed } from './push.ts'
import type { Me } from './views.ts'

/** Null where the server does not take anything either: then the sign-in is merely over. */
export async function handOver(db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<Pushed | null> {
  if (!(await pushNothing(outbox, fetch, me)).ok) return null
  const notes: string[] = []
  let stopped: Halt | null = null
  // Nobody here can sign in again to send it, so everybody's goes at once.
  for (const id of Object.keys((await outbox.unsent()).byStaff)) {
    const pushed = await push(db, outbox, fetch, { ...me, staff: { ...me.staff, id } })
    notes.push(...pushed.notes)
    stopped = pushed.halt ?? stopped
  }
  return { halt: stopped, notes }
}
