/** What the screens ask of this phone's own database. Works without a network; nothing waits for one. */
import type { Id, Key } from '../records/fields.ts'
import { Database } from './database.ts'
import { adopt } from './epoch.ts'
import { PhoneError } from './errors.ts'
import { Joined } from './joined.ts'
import { noteEmptied } from './numbers.ts'
import { findAbout, findByCode, findByPlace, findCut, findPiece, findPieces, findThese } from './queries.ts'
import type { Read, Write } from './schema.ts'
import { Shown, snapshot, type Snapshot } from './shown.svelte.ts'
import type { CutView, PieceFilter, PieceView, WholePiece } from './views.ts'
import { reread } from './vocabulary.ts'
import type { Witness } from './witness.ts'

/** Reaches the other tabs; what one writes the others show. */
const CHANNEL = 'nubbin'

export class Reading extends Shown {
  protected readonly db: Database
  protected readonly witness: Witness
  #channel: BroadcastChannel | null = null
  readonly #refreshing = new Joined(() => this.#read())

  constructor(name: string, witness: Witness) {
    super()
    this.witness = witness
    this.db = new Database(name, () => {
      this.#channel?.postMessage('written')
      void this.refresh()
    })
  }

  /** Show what is on this phone, and what other tabs do to it. Returns the undoing. */
  protected async watch(): Promise<() => void> {
    this.#channel = new BroadcastChannel(CHANNEL)
    this.#channel.onmessage = () => void this.refresh()
    await reread(this.db)
    await this.refresh()
    return () => {
      this.#channel?.close()
      this.#channel = null
    }
  }

  protected refresh(): Promise<void> {
    return this.#refreshing.run()
  }

  /** Look whether the storage was emptied, and go on if so: whether that was found. */
  protected async goesOn(): Promise<boolean> {
    const before = this.loss?.at
    await this.refresh()
    return this.loss?.at !== before && this.paired !== null
  }

  /** For modules that keep something of their own beside the records; screens ask those. */
  read<T>(work: (tx: Read) => Promise<T>): Promise<T> {
    return this.db.read(work)
  }

  async write<T>(work: (tx: Write) => Promise<T>): Promise<T> {
    const result = await this.db.write(work)
    await this.refresh()
    return result
  }

  piece(id: Id): Promise<WholePiece | null> {
    return this.db.read((tx) => findPiece(tx, id))
  }

  /** Those of these pieces that are known here: for a list, which must not ask for each alone. */
  these(ids: readonly Id[]): Promise<ReadonlyMap<Id, PieceView>> {
    return this.db.read((tx) => findThese(tx, ids))
  }

  /** The piece that holds the code; null where this phone knows none. */
  byCode(code: string): Promise<PieceView | null> {
    return this.db.read((tx) => findByCode(tx, code))
  }

  /** Pieces at a place of a tray, open ones first, the last to arrive before the others. */
  byPlace(tray: Key, place: string): Promise<PieceView[]> {
    return this.db.read((tx) => findByPlace(tx, tray, place))
  }

  /** Oldest first. */
  pieces(filter: PieceFilter = {}): Promise<PieceView[]> {
    return this.db.read((tx) => findPieces(tx, filter))
  }

  /** Pieces glued from a cut, in the order of gluing. */
  gluedFrom(cut: Id): Promise<PieceView[]> {
    return this.pieces({ cut })
  }

  cut(id: Id): Promise<CutView | null> {
    return this.db.read((tx) => findCut(tx, id))
  }

  /** The pieces that records of this phone are about, by record; one about no piece is left out. */
  about(records: readonly Id[]): Promise<ReadonlyMap<Id, PieceView>> {
    return this.db.read((tx) => findAbout(tx, records))
  }

  async #read(): Promise<void> {
    try {
      let found = await this.db.read(snapshot)
      if (this.#isEmptied(found)) {
        await this.#goOn()
        found = await this.db.read(snapshot)
      }
      this.show(found)
      this.#note(found)
      this.broken = null
    } catch (error) {
      if (!(error instanceof PhoneError)) throw error
      this.broken = error.message
    }
  }

  /** Something was here, or is known to have been, and nobody has deleted it on purpose. */
  #isEmptied({ device, wiped, loss }: Snapshot): boolean {
    if (device !== undefined || wiped || loss) return false
    return this.device !== null || this.witness.recall() !== null
  }

  /** The same device goes on behind the last number it gave out; what is gone is told. */
  async #goOn(): Promise<void> {
    const seen = this.witness.recall()
    if (this.paired) await adopt(this.db, this.paired, seen)
    else if (seen) await this.db.write((tx) => noteEmptied(tx, '', seen))
  }

  #note({ device, last, unsent, photos, wiped }: Snapshot): void {
    if (wiped) this.witness.forget()
    else if (device !== undefined) {
      const records = unsent.waiting + unsent.refused
      this.witness.remember({ device, last, unsent: records, oldest: unsent.oldest, photos: photos.waiting + photos.refused })
    }
  }
}
