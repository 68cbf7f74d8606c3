/** A print on a screen: begun, gone on with where it stopped, said in words. */
import { ServerError } from '../access/server.ts'
import { feel } from '../kit/feel.ts'
import { PhoneError } from '../sync/errors.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { PrintRun, type Target } from './binding.ts'
import { hostMissing, orderLabels, printCodes, printProblem, type Order, type Printed } from './print.ts'

export class Printing {
  busy = $state(false)
  problem = $state<string | null>(null)
  noHost = $state(false)
  printed = $state.raw<Printed | null>(null)
  /** Codes are made whose sheet has not come: the next press goes on with them. */
  waits = $state(false)
  /** How many labels of the last print are on what they are for. */
  bound = $state(0)
  codes = $state.raw<readonly string[]>([])
  #run: PrintRun | null = null
  #for = ''

  /** Whether the sheet came. Goes on with the codes there are, unless other labels are wanted. */
  async print(order: Order, targets: readonly Target[]): Promise<boolean> {
    if (this.busy) return false
    this.busy = true
    this.problem = null
    const wanted = JSON.stringify([order.count, order.words, order.said, targets])
    if (this.#run === null || this.#for !== wanted) this.#run = begin(targets, order)
    this.#for = wanted
    try {
      this.printed = await this.#run.go(order)
      this.codes = this.#run.codes
      this.bound = this.#run.targets.length
      this.#run = null
      feel('saved')
      return true
    } catch (error) {
      this.#say(error, targets.length > 0)
      return false
    } finally {
      this.waits = this.#run !== null && this.#run.stage !== 'nothing'
      this.busy = false
    }
  }

  #say(error: unknown, bind: boolean): void {
    if (error instanceof PhoneError) this.problem = t('labels.run.notBound', { why: error.message })
    else if (error instanceof ServerError) {
      this.noHost = hostMissing(error)
      const stage = this.#run?.stage ?? 'nothing'
      const detail = error.name === 'NoAnswer' ? t('labels.offline.title') + '.' : error.message
      this.problem = stage === 'nothing' ? printProblem(error) : t(bind ? 'labels.run.notPrinted' : 'labels.run.notSent', { detail })
    } else throw error
  }

  /** What is chosen now is another print: codes that wait stay listed under Prints. */
  letGo(): void {
    if (this.busy) return
    this.#run = null
    this.waits = false
    this.printed = null
    this.problem = null
  }
}

function begin(targets: readonly Target[], order: Order): PrintRun {
  // What is bound may not have reached the server yet; it is printed all the same.
  const which = order.words === 'code' ? 'unbound' : 'standing'
  return new PrintRun(
    {
      order: (one) => orderLabels(fetch, one),
      bind: (drafts) => phone.recordAll(drafts),
      sheet: (print, how) => printCodes(fetch, print, how, which),
    },
    targets,
  )
}
