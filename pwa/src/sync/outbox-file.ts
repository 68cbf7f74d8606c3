/**
 * A saved outbox: everything on a phone that the server has not confirmed, as one file that a lead
 * can take in anywhere. Records stand in it as they were made, photos as base64.
 */
import type { Key } from '../records/fields.ts'
import { t } from '../words/index.ts'
import type { Database } from './database.ts'
import { PhoneError } from './errors.ts'
import { getMeta } from './meta.ts'
import type { Outbox } from './outbox.ts'
import type { PhotoRow, Read } from './schema.ts'
import type { Named } from './views.ts'

export interface SavedPhoto {
  readonly sha256: string
  readonly bytes: number
  readonly media: string
  readonly base64: string
}

export interface OutboxFile {
  readonly nubbin: 'outbox'
  readonly v: 1
  readonly epoch: string
  readonly device: Named
  readonly staff: Named | null
  /** By the phone's own clock. */
  readonly saved_at: string
  readonly sent: { readonly at: string; readonly session?: Key; readonly tick?: number }
  readonly skew_ms: number
  readonly records: readonly object[]
  readonly photos?: readonly SavedPhoto[]
}

/** Not a file that can be taken in; the message says why and what to do. */
export class WrongFile extends PhoneError {
  override readonly name = 'WrongFile'
}

/** The file's text in parts: photos are read one at a time, since all at once may not fit in memory. */
export async function fileParts(db: Pick<Database, 'read'>, outbox: Pick<Outbox, 'sent'>): Promise<string[]> {
  const { head, records, photos } = await db.read((tx) => contents(tx, outbox))
  const parts = [JSON.stringify(head).slice(0, -1), ',"records":[', records.map((one) => JSON.stringify(one)).join(','), ']']
  let before = ',"photos":['
  for (const sha256 of photos) {
    const row = await db.read((tx) => tx.objectStore('photos').get(sha256))
    if (!row?.bytes) continue
    parts.push(before, JSON.stringify(saved(row, row.bytes)))
    before = ','
  }
  return [...parts, before === ',' ? ']}' : '}']
}

async function contents(tx: Read, outbox: Pick<Outbox, 'sent'>) {
  const [me, device, epoch] = [await getMeta(tx, 'paired'), await getMeta(tx, 'device'), await getMeta(tx, 'epoch')]
  const records: object[] = []
  for (const { record } of await tx.objectStore('outbox').getAll()) {
    const row = await tx.objectStore('records').get(record)
    if (row) records.push(row.record)
  }
  const sent = outbox.sent()
  const name = me?.device.name ?? device ?? ''
  const head: Omit<OutboxFile, 'records' | 'photos'> = {
    nubbin: 'outbox', v: 1, epoch: epoch ?? '', device: { id: device ?? '', name },
    staff: me?.staff ? { id: me.staff.id, name: me.staff.name } : null,
    saved_at: sent.at, sent, skew_ms: (await getMeta(tx, 'skew')) ?? 0,
  }
  return { head, records, photos: await unkept(tx) }
}

/** Photos whose bytes are only here. */
async function unkept(tx: Read): Promise<string[]> {
  const line = tx.objectStore('photos').index('line')
  const found: string[] = []
  for (const state of ['sending', 'here', 'refused'] satisfies PhotoRow['state'][]) {
    found.push(...(await line.getAllKeys(IDBKeyRange.bound([state], [state, []]))))
  }
  return found
}

function saved({ sha256, size, media }: PhotoRow, bytes: ArrayBuffer): SavedPhoto {
  return { sha256, bytes: size, media, base64: toBase64(new Uint8Array(bytes)) }
}

const STEP = 0x8000

function toBase64(bytes: Uint8Array): string {
  let text = ''
  for (let at = 0; at < bytes.length; at += STEP) text += String.fromCharCode(...bytes.subarray(at, at + STEP))
  return btoa(text)
}

/** The bytes of a saved photo; null where that is no base64. */
export function fromBase64(text: string): Uint8Array<ArrayBuffer> | null {
  try {
    return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0))
  } catch (error) {
    if (error instanceof DOMException) return null
    throw error
  }
}

/** Read a file that somebody has chosen. Throws WrongFile. */
export function readFile(text: string): OutboxFile {
  const found = parsed(text)
  if (found['nubbin'] !== 'outbox') throw new WrongFile(t('sync.takeIn.wrong.other'))
  if (found['v'] !== 1) throw new WrongFile(t('sync.takeIn.wrong.newer'))
  const { epoch, device, sent, records, skew_ms } = found as Partial<OutboxFile>
  const whole =
    typeof epoch === 'string' && typeof device?.id === 'string' && device.id !== '' &&
    typeof sent?.at === 'string' && Array.isArray(records) && typeof (skew_ms ?? 0) === 'number' &&
    records.every((one) => typeof one === 'object' && one !== null && !Array.isArray(one)) &&
    arePhotos(found['photos'] ?? [])
  if (!whole) throw new WrongFile(t('sync.takeIn.wrong.cut'))
  if (records.length === 0 && !found['photos']) throw new WrongFile(t('sync.takeIn.wrong.empty'))
  return found as unknown as OutboxFile
}

function arePhotos(value: unknown): boolean {
  return Array.isArray(value) && value.every((one: Partial<SavedPhoto> | null) =>
    typeof one?.sha256 === 'string' && typeof one.base64 === 'string' && typeof one.bytes === 'number')
}

function parsed(text: string): Readonly<Record<string, unknown>> {
  try {
    const found: unknown = JSON.parse(text)
    if (typeof found === 'object' && found !== null) return found as Record<string, unknown>
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error
    // A file of ours that ends too early is another matter than one that never was ours.
    if (text.startsWith('{"nubbin":"outbox"')) throw new WrongFile(t('sync.takeIn.wrong.cut'))
  }
  throw new WrongFile(t('sync.takeIn.wrong.other'))
}

/** `nubbin-outbox-shed-phone-2026-03-01.json` */
export function fileName({ name }: Pick<Named, 'name'>, day: string): string {
  const slug = name.toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '')
  return `nubbin-outbox-${slug || 'phone'}-${day}.json`
}
