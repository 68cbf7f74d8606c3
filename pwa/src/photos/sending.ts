/**
 * Sending photos, each after a record that names it, a chunk at a time. Where to go on is always
 * the server's word, so it may stop anywhere: at most the chunk that was under way goes twice.
 * A photo's bytes leave this phone only when the server says that it keeps it.
 */
import { ask, type Answer, type Fetch, type Halt } from '../sync/answers.ts'
import type { Database } from '../sync/database.ts'
import type { PhotoRow } from '../sync/schema.ts'
import { byOffset, judge, type PhotoState, type Verdict } from './judge.ts'
import { inLine, noteAgain, noteSent, sendable, setKept, setRefused } from './line.ts'
import type { Pace } from './pace.ts'

export interface Way {
  readonly db: Database
  readonly fetch: Fetch
  readonly epoch: string
  readonly pace: Pace
  /** Whether something else waits for the network: asked after each chunk. */
  readonly giveWay: () => Promise<boolean>
}

type Row = PhotoRow & { readonly bytes: ArrayBuffer }
/** On to the next photo, give way, or why there is no use in going on. */
type End = 'next' | 'way' | Halt
type Ending = Exclude<Verdict, { do: 'go-on' }>

/** Answers in a row that bring a photo no further before it is left for another round. */
const STUCK = 3
/** Photos in a row that may each break the server before the round gives up. */
const STRIKES = 3

/** Send what can be sent. Null, or why it stopped early; the rest is for the next round. */
export async function sendPhotos(way: Way): Promise<Halt | null> {
  let strikes = 0
  for (const sha256 of await way.db.read(inLine)) {
    const row = await way.db.read((tx) => sendable(tx, sha256))
    if (!row) continue
    const end = await send(way, row)
    if (end === 'way') return null
    if (end === 'next') strikes = 0
    else if (end.problem?.status === 500 && (strikes += 1) < STRIKES) continue
    else return end
    if (await way.giveWay()) return null
  }
  return null
}

async function send(way: Way, row: Row): Promise<End> {
  const path = `/api/photos/${row.sha256}`
  if (row.sent > 0) way.pace.resume()
  let answer: Answer<PhotoState> = await ask(way.fetch, `${path}/state`, {}, way.epoch)
  let [at, stuck, again] = [-1, 0, row.again]
  for (;;) {
    const verdict = judge(answer, row, again)
    if (verdict.do !== 'go-on') return settle(way, row, verdict, at)
    if (verdict.again) await way.db.write((tx) => noteAgain(tx, row.sha256))
    again ||= verdict.again
    stuck = verdict.at > at ? 0 : stuck + 1
    const begun = at >= 0
    at = verdict.at
    if (stuck === STUCK) return settle(way, row, { do: 'later', problem: null }, at)
    if (begun && (await way.giveWay())) {
      await settle(way, row, { do: 'later', problem: null }, at)
      return 'way'
    }
    answer = await patch(way, path, row.bytes, at)
  }
}

async function patch(way: Way, path: string, bytes: ArrayBuffer, at: number): Promise<Answer<PhotoState>> {
  const length = Math.min(way.pace.chunk, bytes.byteLength - at)
  const answer: Answer<PhotoState> = await ask(way.fetch, path, byOffset(bytes, at, length), way.epoch)
  if (answer.ok) way.pace.well()
  else if (answer.paused === 'offline') way.pace.badly()
  return answer
}

/** Write down what was found out. `at` is how far the server had it; -1 where it never said. */
async function settle({ db }: Way, { sha256, sent }: Row, verdict: Ending, at: number): Promise<End> {
  const had = at < 0 ? sent : at
  if (verdict.do === 'kept') await db.write((tx) => setKept(tx, sha256))
  else if (verdict.do === 'refuse') await db.write((tx) => setRefused(tx, sha256, verdict.problem))
  else if (verdict.do === 'later') await db.write((tx) => noteSent(tx, sha256, had, verdict.problem))
  else {
    await db.write((tx) => noteSent(tx, sha256, had, verdict.halt.problem))
    return verdict.halt
  }
  return 'next'
}
