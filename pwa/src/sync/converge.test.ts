/**
 * Several phones and one server, driven by chance: whatever is dropped, doubled, restarted or off
 * by days, everything shown as saved is in the log exactly once or still in the line, and all
 * phones come to the same stock.
 */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fold } from '../stock/fold.ts'
import { BarePhone } from './bare-phone.ts'
import { answerLost, FakeServer, offline, signInPage, truncated } from './fake-server.ts'
import { device, glue, id } from './trial.ts'
import type { AnyDraft } from './views.ts'

const PIECES = [id(0xa1), id(0xa2), id(0xa3)]
const SKEWS = [0, 2 * 86_400_000, -2 * 86_400_000]
const FAULTS = { none: null, offline, answerLost, signInPage, truncated }

const bodies = fc.constantFrom<AnyDraft>(
  { kind: 'check', subject: { kind: 'piece', id: '' }, body: { mouth: 'bud', encrustation: 1 } },
  { kind: 'check', subject: { kind: 'piece', id: '' }, body: { swept: true } },
  { kind: 'ready', subject: { kind: 'piece', id: '' }, body: { for: 'sale' } },
  { kind: 'loss', subject: { kind: 'piece', id: '' }, body: { how: 'missing' } },
  { kind: 'loss', subject: { kind: 'piece', id: '' }, body: { how: 'dead' } },
  { kind: 'bind', subject: { kind: 'piece', id: '' }, body: { code: '4JQZKDMN' } },
  { kind: 'bind', subject: { kind: 'piece', id: '' }, body: { code: '22222222' } },
  { kind: 'exit', subject: { kind: 'piece', id: '' }, body: { how: 'given' } },
)
const who = fc.nat(2)
const steps = fc.oneof(
  { weight: 5, arbitrary: fc.record({ do: fc.constant('save' as const), who, draft: bodies, piece: fc.nat(2) }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('retract' as const), who, which: fc.nat(20) }) },
  {
    weight: 4,
    arbitrary: fc.record({
      do: fc.constant('round' as const),
      who,
      fault: fc.constantFrom(...(Object.keys(FAULTS) as (keyof typeof FAULTS)[])),
      after: fc.nat(3),
    }),
  },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('restart' as const), who }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('close' as const), piece: fc.nat(2) }) },
)
type Step = typeof steps extends fc.Arbitrary<infer S> ? S : never

let farms = 0

class Farm {
  readonly servers: FakeServer[] = []
  readonly phones: BarePhone[] = []
  readonly saved: string[] = []
  readonly #names: string[] = []
  readonly #clocks = ['2026-03-01T10:00:00Z', '2026-03-03T22:10:00Z', '2026-02-27T04:00:00Z'].map((at) => device(at))

  async open(): Promise<void> {
    farms += 1
    for (const [index, clock] of this.#clocks.entries()) {
      const server = new FakeServer(`staff.${index}`, `device.${index}`)
      server.page = 5
      server.skew = SKEWS[index] ?? 0
      server.log = this.servers[0]?.log ?? server.log
      this.servers.push(server)
      this.#names.push(`farm-${farms}-${index}`)
      const phone = new BarePhone(server.fetch, this.#names[index] ?? '', clock)
      await phone.signIn(server.person(`staff.${index}`, `device.${index}`))
      this.phones.push(phone)
    }
  }

  async take(step: Step): Promise<void> {
    if (step.do === 'close') return this.close(PIECES[step.piece] ?? '')
    const [phone, server] = [this.phones[step.who], this.servers[step.who]]
    if (!phone || !server) throw new Error('no such phone')
    if (step.do === 'save') {
      const about = { ...step.draft, subject: { kind: 'piece', id: PIECES[step.piece] ?? '' } } as AnyDraft
      this.saved.push(...(await phone.save(about)).map((record) => record.id))
    } else if (step.do === 'retract') {
      const target = this.saved[step.which]
      if (target) {
        const body = { why: 'by chance' }
        const [record] = await phone.save({ kind: 'retract', subject: { kind: 'record', id: target }, body })
        this.saved.push(record?.id ?? '')
      }
    } else if (step.do === 'round') {
      const fault = FAULTS[step.fault]
      server.faults.push(...Array.from({ length: step.after }, () => (_: unknown, answer: () => Response) => answer()))
      if (fault) server.faults.push(fault)
      await phone.round()
      server.faults.length = 0
    } else await this.restart(step.who)
  }

  /** The app is closed and opened again on what is in the phone's storage. */
  async restart(who: number): Promise<void> {
    await this.phones[who]?.db.close()
    const [server, clock] = [this.servers[who], this.#clocks[who]]
    if (server && clock) this.phones[who] = new BarePhone(server.fetch, this.#names[who] ?? '', clock)
  }

  /** From now on the server leaves out the records of a piece that is closed. */
  close(piece: string): void {
    const state = this.servers[0]?.state(piece)
    const closed = state?.stage === 'exited' || state?.stage === 'lost'
    if (closed) for (const server of this.servers) server.closed.add(piece)
  }

  /** All that is saved is in the log once, or in the line of the phone it was saved on. */
  async accounted(): Promise<void> {
    const logged = this.servers[0]?.log.map((entry) => entry.record.id) ?? []
    const lines = await Promise.all(this.phones.map((phone) => phone.outbox.waiting()))
    const waiting = lines.flat().map((one) => one.record.id)
    expect(new Set(logged).size).toBe(logged.length)
    expect([...new Set([...logged, ...waiting])].sort()).toEqual([...this.saved].sort())
  }
}

async function play(script: readonly Step[]): Promise<void> {
  const farm = new Farm()
  await farm.open()
  for (const [index, phone] of farm.phones.entries()) {
    const glued = await phone.save(glue(PIECES[index], { code: '4JQZKDMN' }))
    farm.saved.push(...glued.map((record) => record.id))
  }
  for (const step of script) {
    await farm.take(step)
    await farm.accounted()
  }
  for (const round of [1, 2]) {
    for (const phone of farm.phones) expect([round, (await phone.round()).paused]).toEqual([round, null])
  }
  await agree(farm)
  await Promise.all(farm.phones.map((phone) => phone.db.close()))
}

async function agree(farm: Farm): Promise<void> {
  const log = farm.servers[0]?.log ?? []
  expect(log.map((entry) => entry.record.id).sort()).toEqual([...farm.saved].sort())
  const gone = new Set(log.filter((e) => e.record.kind === 'retract').map((e) => e.record.subject.id))
  for (const piece of PIECES) {
    const own = log.filter((e) => e.record.subject.id === piece)
    const truth = fold(piece, own, gone, 'UTC')
    for (const phone of farm.phones) expect((await phone.piece(piece))?.state).toEqual(truth)
    const codes = await Promise.all(farm.phones.map(async (phone) => (await phone.piece(piece))?.code))
    expect(new Set(codes).size).toBe(1)
  }
}

describe('phones and server', () => {
  it('come to the same stock, and nothing saved is lost or doubled', async () => {
    await fc.assert(fc.asyncProperty(fc.array(steps, { maxLength: 40 }), play), { numRuns: 60 })
  }, 120_000)
})
