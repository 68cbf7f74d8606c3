/** A phone without a screen: database, outbox and rounds, for tests and for the harness. */
import { thisDevice, type Device } from '../records/make.ts'
import type { AnyRecord } from '../records/kinds.ts'
import type { Fetch } from './answers.ts'
import { Database } from './database.ts'
import { Drain, type Outcome } from './drain.ts'
import { adopt, isHeld } from './epoch.ts'
import { getMeta } from './meta.ts'
import { askCount } from './numbers.ts'
import { Outbox } from './outbox.ts'
import { findPiece } from './queries.ts'
import type { AnyDraft, Paired, WholePiece } from './views.ts'
import { NotSignedIn } from './errors.ts'

export class BarePhone {
  readonly db: Database
  readonly outbox: Outbox
  readonly drain: Drain
  readonly #fetch: Fetch

  constructor(fetch: Fetch, name: string, device: Device = thisDevice) {
    this.#fetch = fetch
    this.db = new Database(name)
    this.outbox = new Outbox(this.db, device)
    this.drain = new Drain(this.db, this.outbox, fetch, null)
  }

  /** What the server has said of records it took. */
  async said(): Promise<string[]> {
    const notes = await this.db.read((tx) => getMeta(tx, 'notes'))
    return (notes ?? []).flatMap((note) => note.said)
  }

  async signIn(paired: Paired): Promise<void> {
    const count = isHeld(paired) ? await askCount(this.db, this.outbox, this.#fetch, paired) : null
    await adopt(this.db, paired, null, count?.ok ? count.body : null)
  }

  async save(...drafts: AnyDraft[]): Promise<AnyRecord[]> {
    const me = await this.db.read((tx) => getMeta(tx, 'me'))
    if (!me) throw new NotSignedIn()
    return this.outbox.save(drafts, { staff: me.staff.id, device: me.device.id })
  }

  round(): Promise<Outcome> {
    return this.drain.run()
  }

  piece(id: string): Promise<WholePiece | null> {
    return this.db.read((tx) => findPiece(tx, id))
  }
}
