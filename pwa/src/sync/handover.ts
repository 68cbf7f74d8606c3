/**
 * Handing over. Who was signed out for good is answered nothing any more but this: what was recorded
 * on the phone and not sent is still taken, by whomever, and kept for a lead to decide on.
 */
import { isOtherDatabase, type Fetch, type Halt } from './answers.ts'
import type { Database } from './database.ts'
import { getMeta } from './meta.ts'
import { pushNothing } from './numbers.ts'
import type { Outbox } from './outbox.ts'
import { push } from './push.ts'
import type { Me } from './views.ts'

export interface HandedOver {
  /** Why not everything went; null where it did. */
  readonly halt: Halt | null
}

/** Null where the server does not take anything either: then the sign-in is merely over. */
export async function handOver(db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<HandedOver | null> {
  if (!(await pushNothing(outbox, fetch, me)).ok) return null
  // Nobody here can sign in again to send it, so everybody's goes at once.
  return { halt: await pushOf(Object.keys((await outbox.unsent()).byStaff), db, outbox, fetch, me) }
}

/**
 * Who no longer holds a shared phone has merely laid it down, and then nothing is taken; or was
 * signed out for good, and can never hold it again to send what is left: that goes now. Null where
 * this is settled; else it must be asked again before the phone forgets who held it.
 */
export async function handOverOwn(db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<Halt | null> {
  if (!(await outbox.unsent()).byStaff[me.staff.id]) return null
  const heard = await pushNothing(outbox, fetch, me)
  if (!heard.ok) return heard.paused === 'not-held' || isOtherDatabase(heard) ? null : heard
  return pushOf([me.staff.id], db, outbox, fetch, me)
}

/** Somebody else holds the phone now, and of those before them some were signed out for good since. */
export async function handOverLeft(db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<void> {
  const { byStaff } = await outbox.unsent()
  const people = (await db.read((tx) => getMeta(tx, 'people'))) ?? []
  const left = people.filter((one) => one.left && byStaff[one.id] && one.id !== me.staff.id)
  await pushOf(left.map((one) => one.id), db, outbox, fetch, me)
}

async function pushOf(authors: readonly string[], db: Database, outbox: Outbox, fetch: Fetch, me: Me): Promise<Halt | null> {
  let stopped: Halt | null = null
  for (const id of authors) {
    stopped = (await push(db, outbox, fetch, { ...me, staff: { ...me.staff, id } })) ?? stopped
  }
  return stopped
}
