/** What is on this phone besides pieces, and what a person decides about it. */
import type { Disagreement } from './disagreements.ts'
import { getMeta, setMeta } from './meta.ts'
import { findDisagreements, findRobbed } from './queries.ts'
import { Reading } from './reading.svelte.ts'
import type { Named, Robbed } from './views.ts'
import { wipe } from './wipe.ts'

export class Keeping extends Reading {
  /** Records that do not go together, with both of each; `left` are those that were left as they are. */
  async disagreements(): Promise<{ readonly open: Disagreement[]; readonly left: Disagreement[] }> {
    const { all, settled } = await this.db.read(findDisagreements)
    return { open: all.filter((one) => !settled.has(one.key)), left: all.filter((one) => settled.has(one.key)) }
  }

  /** Pieces whose label another piece had first. */
  robbed(): Promise<Robbed[]> {
    return this.db.read(findRobbed)
  }

  /** A person has looked at a disagreement and leaves it as it is, on this phone. */
  async settle(key: string, settled = true): Promise<void> {
    await this.write(async (tx) => {
      const keys = new Set(await getMeta(tx, 'settled'))
      if (settled) keys.add(key)
      else keys.delete(key)
      await setMeta(tx, 'settled', [...keys])
    })
  }

  /** A person has read what is known of the loss; what that was stays known, so that it is told once. */
  async haveRead(): Promise<void> {
    if (this.device === null) this.witness.forget()
    await this.write((tx) => setMeta(tx, 'loss', undefined))
  }

  /** A person has read what the server said of records. */
  async haveReadNotes(): Promise<void> {
    await this.write((tx) => setMeta(tx, 'notes', undefined))
  }

  /** The farm's people, so that records can be shown under names without a network. */
  async setPeople(people: readonly Named[]): Promise<void> {
    const named = people.map(({ id, name, left }) => (left ? { id, name, left } : { id, name }))
    await this.db.write((tx) => setMeta(tx, 'people', named))
  }

  /** Ask the browser not to clear the records when it runs short of room: what it says, if it can be asked. */
  async persist(): Promise<boolean | null> {
    const storage = globalThis.navigator?.storage as Partial<StorageManager> | undefined
    this.persisted = storage?.persist ? await storage.persist() : null
    return this.persisted
  }

  /** Delete everything that is on this phone, the unsent included. */
  async wipe(): Promise<void> {
    await this.db.write(wipe)
    this.witness.forget()
    await this.refresh()
  }
}
