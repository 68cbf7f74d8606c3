import { afterAll, beforeEach, expect, it, vi } from 'vitest'
import { trialStorage } from '../kit/trial-storage.ts'

const stored = new Map<string, string>()
vi.stubGlobal('localStorage', trialStorage(stored))
// The app's own one reads what is kept as soon as it is there.
const { Saw } = await import('./saw.svelte.ts')
beforeEach(() => stored.clear())
afterAll(() => vi.unstubAllGlobals())

const CUT = { id: 'c', record: 'r', mother: 'm', method: 'k', base: 'b' }

it('an open cut survives a reload, and waits until it is known who is here', () => {
  new Saw(() => 'rui').set({ cut: CUT, method: 'k' })
  let who: string | null = null
  const saw = new Saw(() => who)
  expect(saw.draft.cut).toEqual(CUT)
  // Nobody is known to be here, yet the next base's size is typed: it stays Rui's.
  saw.setNext({ size: '12' })
  who = 'rui'
  expect([saw.draft.cut, saw.draft.next.size]).toEqual([CUT, '12'])
})

it('one person’s sitting and cut are not the next one’s', () => {
  const rui = new Saw(() => 'rui')
  rui.set({ cut: CUT, method: 'k' })
  const ida = new Saw(() => 'ida')
  expect([ida.draft.cut, ida.draft.method]).toEqual([null, null])
  ida.set({ mother: 'n' })
  expect([ida.draft.cut, ida.draft.mother, new Saw(() => 'rui').draft.mother]).toEqual([null, 'n', null])
})

it('what an earlier version kept, which knew no person, is nobody’s', () => {
  stored.set('nubbin.saw', JSON.stringify({ cut: CUT }))
  expect(new Saw(() => 'rui').draft.cut).toBeNull()
})

it('what each cut was to be glued to stays with it while another is begun, and over the end of the sitting', () => {
  const saw = new Saw(() => 'rui')
  saw.set({ cut: CUT, base: 'b' })
  saw.endCut()
  saw.set({ cut: { ...CUT, id: 'c2', base: 'large' }, base: 'large' })
  saw.set({ cut: { ...CUT, id: 'c2', base: 'small' } })
  saw.endCut()
  saw.endSitting()
  expect(new Saw(() => 'rui').draft.bases).toEqual([['c', 'b'], ['c2', 'small']])
})
