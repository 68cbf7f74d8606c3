/**
 * The phone's own database. Everything that belongs together is written in one transaction over
 * all stores, with strict durability, and counts as written only when that has completed.
 */
import { openDB, type IDBPDatabase } from 'idb'
import { NoRoom, NotReadable, NotSaved } from './errors.ts'
import { MIGRATIONS, STORES, type Read, type Schema, type Write } from './schema.ts'

type Handle = IDBPDatabase<Schema>

export class Database {
  readonly #name: string
  readonly #written: () => void
  #handle: Promise<Handle> | null = null

  /** `written` is called after each transaction that has written something down. */
  constructor(name = 'nubbin', written: () => void = () => undefined) {
    this.#name = name
    this.#written = written
  }

  /** Run `work` in a transaction that cannot write. It may await nothing but the database. */
  async read<T>(work: (tx: Read) => Promise<T>): Promise<T> {
    try {
      return await this.#twice((db) => run(db, 'readonly', (tx) => work(tx)))
    } catch (error) {
      throw isDatabaseError(error) ? new NotReadable(error) : error
    }
  }

  /**
   * Run `work` in one transaction and resolve when all of it is on the disk. If anything fails
   * nothing of it is, and NotSaved is thrown. `work` may be run a second time after the browser
   * has dropped the connection, so it must find out by itself what has been done already.
   */
  async write<T>(work: (tx: Write) => Promise<T>): Promise<T> {
    try {
      const result = await this.#twice((db) => run(db, 'readwrite', work))
      this.#written()
      return result
    } catch (error) {
      if (isNamed(error, 'QuotaExceededError')) throw new NoRoom(error)
      throw isDatabaseError(error) ? new NotSaved(error) : error
    }
  }

  async close(): Promise<void> {
    const handle = this.#handle
    this.#handle = null
    ;(await handle)?.close()
  }

  async #twice<T>(work: (db: Handle) => Promise<T>): Promise<T> {
    try {
      return await work(await this.#open())
    } catch (error) {
      if (!isLost(error)) throw error
      this.#handle = null
      return work(await this.#open())
    }
  }

  #open(): Promise<Handle> {
    const opening = (this.#handle ??= this.#connect(MIGRATIONS.length))
    opening.catch(() => {
      if (this.#handle === opening) this.#handle = null
    })
    return opening
  }

  async #connect(version: number | undefined): Promise<Handle> {
    try {
      return await openDB<Schema>(this.#name, version, {
        upgrade(db, from) {
          for (const migrate of MIGRATIONS.slice(from)) migrate(db)
        },
        // A newer version of the app wants to migrate: make way, and open again when needed.
        blocking: (_current, _blocked, event) => this.#drop(event.target as IDBDatabase),
        terminated: () => (this.#handle = null),
      })
    } catch (error) {
      // A newer app was here. Its changes only add, so what waits here can still be sent.
      if (isNamed(error, 'VersionError')) return this.#connect(undefined)
      throw error
    }
  }

  #drop(db: IDBDatabase): void {
    this.#handle = null
    db.close()
  }
}

async function run<T, M extends 'readonly' | 'readwrite'>(
  db: Handle,
  mode: M,
  work: (tx: M extends 'readwrite' ? Write : Read) => Promise<T>,
): Promise<T> {
  const tx = db.transaction([...STORES], mode, { durability: 'strict' })
  const done = tx.done
  // Its failure is reported below; without this it would be reported a second time, as unhandled.
  done.catch(() => undefined)
  try {
    const result = await work(tx as unknown as M extends 'readwrite' ? Write : Read)
    await done
    return result
  } catch (error) {
    abort(tx)
    throw tx.error ?? error
  }
}

function abort(tx: { abort(): void }): void {
  try {
    tx.abort()
  } catch (error) {
    // It has ended by itself already.
    if (!isNamed(error, 'InvalidStateError')) throw error
  }
}

function isNamed(error: unknown, ...names: string[]): boolean {
  return error instanceof DOMException && names.includes(error.name)
}

function isDatabaseError(error: unknown): boolean {
  return error instanceof DOMException
}

/** The connection went away under us: closed by the browser, or by ourselves for a newer app. */
function isLost(error: unknown): boolean {
  return isNamed(error, 'InvalidStateError', 'UnknownError', 'NotFoundError')
}
