/**
 * Photos and everything that goes wrong on their way, by chance: whatever is cut off, lost or
 * restarted, each arrives whole, after its record, and no byte of it is let go before that.
 */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BarePhone } from '../sync/bare-phone.ts'
import { answerLost, FakeServer, offline, signInPage, truncated } from '../sync/fake-server.ts'
import { device } from '../sync/trial.ts'
import { hash } from './fake-photos.ts'
import { CHUNK } from './pace.ts'
import { rows, saveShots, shot } from './trial-shots.ts'

type Fault = NonNullable<FakeServer['fault']>
const FAULTS: Readonly<Record<string, Fault>> = { offline, answerLost, signInPage, truncated }
const SIZES = [1, 1000, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK + 77] as const

const steps = fc.oneof(
  { weight: 3, arbitrary: fc.record({ do: fc.constant('save' as const), size: fc.nat(SIZES.length - 1) }) },
  { weight: 5, arbitrary: fc.record({ do: fc.constant('round' as const), fault: fc.constantFrom(...Object.keys(FAULTS)), after: fc.nat(8) }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('restart' as const) }) },
)
type Step = typeof steps extends fc.Arbitrary<infer S> ? S : never

let runs = 0

class Run {
  readonly server = new FakeServer()
  readonly #name = `chance-${(runs += 1)}`
  readonly #clock = device()
  phone = new BarePhone(this.server.fetch, this.#name, this.#clock)
  readonly shots: ReturnType<typeof shot>[] = []
  failures = 0

  async take(step: Step): Promise<void> {
    if (step.do === 'save') {
      const taken = shot(SIZES[step.size] ?? 1, this.shots.length + 1)
      this.shots.push(taken)
      await saveShots(this.phone, [taken])
    } else if (step.do === 'round') {
      const well: Fault = (_, answer) => answer()
      const bad: Fault = (request, answer) => {
        this.failures += 1
        return FAULTS[step.fault]?.(request, answer) ?? answer()
      }
      this.server.faults.push(...Array.from({ length: step.after }, () => well), bad)
      await this.phone.round()
      this.server.faults.length = 0
    } else {
      await this.phone.db.close()
      this.phone = new BarePhone(this.server.fetch, this.#name, this.#clock)
    }
  }

  /** Every byte is here or whole at the server, and nothing is there without its record. */
  async accounted(): Promise<void> {
    const { arrived, kept } = this.server.photos
    const named = new Set(this.server.log.map(({ record }) => record.body['sha256' as never] as string))
    for (const sha256 of arrived.keys()) expect(named.has(sha256)).toBe(true)
    const held = new Map((await rows(this.phone)).map((row) => [row.sha256, row]))
    for (const { sha256, bytes } of this.shots) {
      const row = held.get(sha256)
      expect(row).toBeDefined()
      if (row?.bytes) expect(row.bytes).toEqual(bytes)
      else expect([row?.state, kept.has(sha256), hash(arrived.get(sha256) ?? new Uint8Array())]).toEqual(['kept', true, sha256])
    }
  }
}

async function play(script: readonly Step[]): Promise<void> {
  const run = new Run()
  await run.phone.signIn(run.server.person('staff.ada', 'device.one'))
  for (const step of script) {
    await run.take(step)
    await run.accounted()
  }
  expect((await run.phone.round()).paused).toBeNull()
  expect((await rows(run.phone)).map((row) => row.state)).toEqual(run.shots.map(() => 'kept'))
  await run.accounted()
  const sent = run.server.photos.patches.reduce((sum, { length }) => sum + length, 0)
  const needed = run.shots.reduce((sum, { bytes }) => sum + bytes.byteLength, 0)
  expect(sent - needed).toBeLessThanOrEqual(run.failures * CHUNK)
  await run.phone.db.close()
}

describe('photos on their way', () => {
  it('arrive whole whatever happens, and nothing is let go before', async () => {
    await fc.assert(fc.asyncProperty(fc.array(steps, { maxLength: 20 }), play), { numRuns: 60 })
  }, 120_000)

  it('5 MB with 20 breaks, each in the middle of a chunk: whole, and at most a tenth of it twice', async () => {
    const server = new FakeServer()
    const taken = shot(5_000_000)
    let [breaks, good, twice] = [0, 0, 0]
    const line: typeof server.fetch = async (path, init = {}) => {
      const length = init.body instanceof Uint8Array ? init.body.length : 0
      if (length > 0 && breaks < 20 && good + length > 240_000) {
        breaks += 1
        good = 0
        twice += length / 2
        throw new TypeError('the line broke')
      }
      good += length
      return server.fetch(path, init)
    }
    const phone = new BarePhone(line, 'chance-five-megabytes', device())
    await phone.signIn(server.person('staff.ada', 'device.one'))
    await saveShots(phone, [taken])
    for (let round = 0; round < 40 && !server.photos.kept.has(taken.sha256); round += 1) await phone.round()
    expect([breaks, hash(server.photos.arrived.get(taken.sha256) ?? new Uint8Array())]).toEqual([20, taken.sha256])
    expect(twice / 5_000_000).toBeLessThanOrEqual(0.1)
  }, 60_000)
})
