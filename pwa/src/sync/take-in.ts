/** Taking in a saved outbox: its records go to the server, where they wait for a lead to admit them. */
import { sha256, type Hash } from '../photos/hash.ts'
import { shelve } from '../photos/shelf.ts'
import type { AnyRecord } from '../records/kinds.ts'
import { ask, posting, type Answer, type Fetch, type Halt } from './answers.ts'
import { BATCH_BYTES, BATCH_RECORDS } from './batches.ts'
import type { Database } from './database.ts'
import { fromBase64, type OutboxFile, type SavedPhoto } from './outbox-file.ts'
import type { PushAnswer, PushReply } from './settle.ts'

export interface TakenIn {
  /** Waiting now for a lead to admit them. */
  readonly held: number
  /** The farm had them already. */
  readonly known: number
  readonly refused: readonly PushAnswer[]
  /** Photos put in line on this phone, to be sent once their records are admitted. */
  readonly photos: number
  /** Photos that are not what their name says, or cannot be read. */
  readonly spoilt: number
  /** Photos that this page may not look into, since it did not come by HTTPS: the file still has them. */
  readonly unread: number
  /** Records that were not sent, since the server stopped answering; and why. */
  readonly left: number
  readonly halt: Halt | null
}

interface Way {
  readonly db: Pick<Database, 'write'>
  readonly fetch: Fetch
  /** Of the farm's database, which need not be the file's. */
  readonly epoch: string
  /** The same picture, small. */
  readonly shrink: (bytes: ArrayBuffer) => Promise<ArrayBuffer>
}

/** Send everything of a file. Said again, nothing is taken twice. */
export async function takeIn(way: Way, file: OutboxFile): Promise<TakenIn> {
  const answers: PushAnswer[] = []
  const groups = grouped(file.records.map((record) => JSON.stringify(record)))
  for (const group of groups) {
    const answer = await send(way, file, group)
    if (!answer.ok) return told(answers, file.records.length - answers.length, answer)
    answers.push(...answer.body.answers)
  }
  return { ...told(answers, 0, null), ...(await shelveAll(way, file)) }
}

function told(answers: readonly PushAnswer[], left: number, halt: Halt | null): TakenIn {
  const of = (...kinds: PushAnswer['answer'][]) => answers.filter((one) => kinds.includes(one.answer))
  return {
    held: of('later', 'stored').length, known: of('duplicate').length, refused: of('refused'),
    photos: 0, spoilt: 0, unread: 0, left, halt,
  }
}

const encoder = new TextEncoder()

/** As many records at a time as the server takes. */
function grouped(texts: readonly string[]): string[][] {
  const groups: string[][] = []
  let room = 0
  for (const text of texts) {
    const size = encoder.encode(text).length + 1
    if (size > room || groups.at(-1)?.length === BATCH_RECORDS) {
      groups.push([])
      room = BATCH_BYTES
    }
    groups.at(-1)?.push(text)
    room -= size
  }
  return groups
}

async function send({ fetch, epoch }: Way, { device, sent }: OutboxFile, texts: readonly string[]): Promise<Answer<PushReply>> {
  const body = `{"device":${JSON.stringify(device.id)},"sent":${JSON.stringify(sent)},"records":[${texts.join(',')}]}`
  const answer = await ask<PushReply>(fetch, '/api/sync/take-in', posting(body), epoch)
  if (!answer.ok || Array.isArray(answer.body.answers)) return answer
  return { ok: false, paused: 'server', problem: null, epoch: null }
}

async function shelveAll(way: Way, file: OutboxFile): Promise<Pick<TakenIn, 'photos' | 'spoilt' | 'unread'>> {
  const photos = file.photos ?? []
  let shelved = 0
  const hash = photos.length > 0 ? sha256() : null
  if (!hash) return { photos: 0, spoilt: 0, unread: photos.length }
  for (const photo of photos) {
    const bytes = await sound(photo, hash)
    if (!bytes) continue
    const shot = { sha256: photo.sha256, bytes, media: 'image/jpeg' as const, small: await way.shrink(bytes) }
    const naming = namers(file, photo.sha256)
    await way.db.write((tx) => shelve(tx, [shot], naming, Date.now()))
    shelved += 1
  }
  return { photos: shelved, spoilt: photos.length - shelved, unread: 0 }
}

/** The photo waits on its records. Where none is in the file, it had arrived before: nothing is to wait for. */
function namers({ records }: OutboxFile, sha256: string): AnyRecord[] {
  const named = (records as readonly AnyRecord[]).filter((one) => one.kind === 'photo' && one.body?.sha256 === sha256)
  return named.length > 0 ? named : [{ id: sha256, kind: 'photo', body: { sha256 } } as unknown as AnyRecord]
}

/** The photo's bytes where they are what their name says. */
async function sound({ sha256, bytes, media, base64 }: SavedPhoto, hash: Hash): Promise<ArrayBuffer | null> {
  const found = media === 'image/jpeg' ? fromBase64(base64) : null
  if (found?.length !== bytes) return null
  return (await hash(found)) === sha256 ? found.buffer : null
}
