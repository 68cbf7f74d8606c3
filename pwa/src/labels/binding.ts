/**
 * Printing in three steps, so that nothing is lost where one fails: the server makes the codes, this
 * phone binds them (all in one transaction), and only then the sheet is asked for.
 *
 *   fails at   what is then                                    pressed again
 *   codes      nothing was made, or an unbound print is listed begins anew
 *   binding    codes on nothing; no label exists               binds the same codes
 *   sheet      codes on their pieces; no label exists          asks for the same sheet
 *
 * So no label is ever printed that leads nowhere it was meant to, and no code is made twice.
 */
import type { Subject } from '../records/fields.ts'
import type { AnyDraft } from '../sync/views.ts'
import type { How, Order, Ordered, Printed } from './print.ts'

/** What a label is printed for, and the words that stand beside its symbol. */
export interface Target {
  readonly subject: Subject<'piece' | 'tray' | 'tank'>
  readonly said: string
}

export interface Steps {
  order: (order: Order) => Promise<Ordered>
  bind: (drafts: readonly AnyDraft[]) => Promise<unknown>
  sheet: (print: string, how: How) => Promise<Printed>
}

export type Stage = 'nothing' | 'ordered' | 'bound'

export class PrintRun {
  #made: Ordered | null = null
  #bound = false
  readonly #steps: Steps
  readonly targets: readonly Target[]

  constructor(steps: Steps, targets: readonly Target[]) {
    this.#steps = steps
    this.targets = targets
  }

  /** How far it came. */
  get stage(): Stage {
    if (this.#made === null) return 'nothing'
    return this.#bound || this.targets.length === 0 ? 'bound' : 'ordered'
  }

  get codes(): readonly string[] {
    return this.#made?.codes ?? []
  }

  /** Go on from where it stopped; throws what the failing step throws. */
  async go(order: Order): Promise<Printed> {
    this.#made ??= await this.#steps.order(order)
    if (this.targets.length > 0 && !this.#bound) {
      await this.#steps.bind(bindings(this.targets, this.#made.codes))
      this.#bound = true
    }
    const { geometry, start, size_mm, printer } = order
    return this.#steps.sheet(this.#made.id, { geometry, start, size_mm, printer })
  }
}

/** One record for each target: its new code. */
export function bindings(targets: readonly Target[], codes: readonly string[]): AnyDraft[] {
  return targets.map(({ subject }, at) => {
    const code = codes[at]
    if (code === undefined) throw new RangeError('fewer codes than labels')
    return { kind: 'bind', subject, body: { code } }
  })
}
