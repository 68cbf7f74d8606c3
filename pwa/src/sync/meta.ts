/** Single values in the phone's database. */
import type { Meta, Read, Write } from './schema.ts'

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
  return ((await tx.objectStore('meta').get(seqKey(device))) as number | undefined) ?? 0
}

export async function setDeviceSeq(tx: Write, device: string, last: number): Promise<void> {
  await tx.objectStore('meta').put(last, seqKey(device))
}
