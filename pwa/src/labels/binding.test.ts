import { describe, expect, it } from 'vitest'
import { NotSaved } from '../sync/errors.ts'
import { PrintRun, type Steps, type Target } from './binding.ts'
import type { Order } from './print.ts'

const TARGETS: Target[] = [
  { subject: { kind: 'piece', id: 'p1' }, said: 'A1, B7' },
  { subject: { kind: 'tray', id: 'tray.a1' }, said: 'A1' },
]
const ORDER: Order = {
  geometry: 'a4', start: 3, size_mm: null, printer: null, count: 2, words: 'caption', said: ['A1, B7', 'A1'],
}
const FAILS = new Error('fails')

/** A server and a phone that keep what they were told; each step fails as often as it is told to. */
function farm(failing: Partial<Record<keyof Steps, number>>) {
  const told: string[] = []
  const kept: unknown[] = []
  let minted = 0
  const left = { ...failing }
  function step(name: keyof Steps): void {
    told.push(name)
    if ((left[name] ?? 0) > 0) {
      left[name] = (left[name] ?? 0) - 1
      throw name === 'bind' ? new NotSaved('full') : FAILS
    }
  }
  const steps: Steps = {
    order: async ({ count }) => {
      step('order')
      return { id: 'print', codes: Array.from({ length: count }, () => `CODE${(minted += 1)}`) }
    },
    bind: async (drafts) => {
      step('bind')
      kept.push(...drafts)
    },
    sheet: async (_print, how) => {
      step('sheet')
      return { pdf: new Blob([JSON.stringify(how)]), first: 'CODE1' }
    },
  }
  return { told, kept, steps, minted: () => minted }
}

describe('labels printed for pieces', () => {
  it('are made, bound, and only then printed', async () => {
    const { told, kept, steps } = farm({})
    const run = new PrintRun(steps, TARGETS)
    const printed = await run.go(ORDER)
    expect(told).toEqual(['order', 'bind', 'sheet'])
    expect(kept).toEqual([
      { kind: 'bind', subject: { kind: 'piece', id: 'p1' }, body: { code: 'CODE1' } },
      { kind: 'bind', subject: { kind: 'tray', id: 'tray.a1' }, body: { code: 'CODE2' } },
    ])
    expect(await printed.pdf.text()).toBe('{"geometry":"a4","start":3,"size_mm":null,"printer":null}')
  })

  it('are not printed where they could not be bound; the same codes are bound the next time', async () => {
    const { told, kept, steps, minted } = farm({ bind: 2 })
    const run = new PrintRun(steps, TARGETS)
    await expect(run.go(ORDER)).rejects.toThrow(NotSaved)
    expect([run.stage, kept]).toEqual(['ordered', []])
    await expect(run.go(ORDER)).rejects.toThrow(NotSaved)
    await run.go(ORDER)
    expect(told).toEqual(['order', 'bind', 'bind', 'bind', 'sheet'])
    expect([run.stage, kept.length, minted()]).toEqual(['bound', 2, 2])
  })

  it('are bound once where the sheet does not come, and asked for again', async () => {
    const { told, kept, steps, minted } = farm({ sheet: 2 })
    const run = new PrintRun(steps, TARGETS)
    await expect(run.go(ORDER)).rejects.toThrow(FAILS)
    expect(run.stage).toBe('bound')
    await expect(run.go(ORDER)).rejects.toThrow(FAILS)
    await run.go(ORDER)
    expect(told).toEqual(['order', 'bind', 'sheet', 'sheet', 'sheet'])
    expect([kept.length, minted()]).toEqual([2, 2])
  })

  it('begin anew where no codes came', async () => {
    const { told, kept, steps } = farm({ order: 1 })
    const run = new PrintRun(steps, TARGETS)
    await expect(run.go(ORDER)).rejects.toThrow(FAILS)
    expect([run.stage, kept, run.codes]).toEqual(['nothing', [], []])
    await run.go(ORDER)
    expect(told).toEqual(['order', 'order', 'bind', 'sheet'])
  })

  it('bind nothing where they are blank', async () => {
    const { told, steps } = farm({})
    await new PrintRun(steps, []).go({ ...ORDER, words: 'code', said: [] })
    expect(told).toEqual(['order', 'sheet'])
  })

  it('are never bound with a code missing', async () => {
    const { kept, steps } = farm({})
    const run = new PrintRun({ ...steps, order: async () => ({ id: 'print', codes: ['CODE1'] }) }, TARGETS)
    await expect(run.go(ORDER)).rejects.toThrow(RangeError)
    expect(kept).toEqual([])
  })
})
