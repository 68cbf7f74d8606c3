/** Single values in the phone's database. */
import type { Meta as Single, Read, Write } from './schema.ts'
import type { Loss, Named, Note, Paired } from './views.ts'

export interface Meta extends Single {
  /** This phone as the server knows it, held by somebody or not; `me` only where somebody holds it. */
  paired: Paired
  /** Names of the farm's people by the keys that records carry. */
  people: readonly Named[]
  /** What the server said of records it took, until each is settled or has been read. */
  notes: readonly Note[]
  /** Records that the server holds, until they are in its log or a lead has set them aside. */
  held: readonly string[]
  /** The browser emptied this phone's storage: what is known of what went with it. */
  loss: Loss
  /** Numbers of this device's run that neither the server nor this phone has, all told already. */
  gaps: { readonly device: string; readonly seqs: readonly number[] }
  /** Records that the server refused and their author then let go. */
  dropped: readonly string[]
  /** Disagreements that a person looked at and left as they are. */
  settled: readonly string[]
  /** The kinds and versions that what is here was folded by. */
  vocabulary: string
  /** Everything here was deleted on purpose: what is gone is no loss. */
  wiped: boolean
}

const seqKey = (device: string) => `device_seq:${device}`

export async function getMeta<K extends keyof Meta>(tx: Read, key: K): Promise<Meta[K] | undefined> {
  return (await tx.objectStore('meta').get(key)) as Meta[K] | undefined
}

export async function setMeta<K extends keyof Meta>(tx: Write, key: K, value: Meta[K] | undefined): Promise<void> {
  if (value === undefined) await tx.objectStore('meta').delete(key)
  else await tx.objectStore('meta').put(value, key)
}

/** The last `device_seq` that this device has given out; 0 before the first. */
export async function lastDeviceSeq(tx: Read, device: string): Promise<number> {
  return (await knownDeviceSeq(tx, device)) ?? 0
}

/** The same; undefined where nothing here has ever numbered, or asked for, a record of the device. */
export async function knownDeviceSeq(tx: Read, device: string): Promise<number | undefined> {
  return (await tx.objectStore('meta').get(seqKey(device))) as number | undefined
}

export async function setDeviceSeq(tx: Write, device: string, last: number): Promise<void> {
  await tx.objectStore('meta').put(last, seqKey(device))
}
