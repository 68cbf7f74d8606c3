/** How far a trial is, arm by arm, and how often it was not done as drawn. Pure. */
import type { Key } from '../records/fields.ts'
import type { PieceState } from '../stock/state.ts'
import { asDrawn, type Done, type Trial } from './trial.ts'

/** One glued piece of the trial's cuts. */
export interface Glued {
  /** The sitting and the mother: what counts as one cut. */
  readonly cluster: string
  readonly state: Pick<PieceState, 'arm' | 'ready_sale' | 'ready_cut' | 'loss' | 'exit'>
  readonly done: Done
}

export interface ArmProgress {
  readonly arm: Key
  readonly cuts: number
  readonly pieces: number
  readonly healing: number
  readonly ready: number
  readonly lost: number
  /** Gone out before it was ready. */
  readonly left: number
  /** Made otherwise than drawn; they count for the arm that was drawn. */
  readonly otherwise: number
}

export interface Progress {
  /** Mothers within sittings of which a piece was drawn. */
  readonly cuts: number
  readonly pieces: number
  readonly arms: readonly ArmProgress[]
  /** Glued in the trial's cuts without a draw: they count for nothing. */
  readonly undrawn: number
}

function fate({ endpoint }: Trial, { state }: Glued): 'ready' | 'lost' | 'left' | 'healing' {
  // A trial of losses takes a piece as ready by whichever readiness was recorded.
  const ready = endpoint === 'cut' ? state.ready_cut : (state.ready_sale ?? (endpoint === 'lost' ? state.ready_cut : null))
  if (ready) return 'ready'
  if (state.loss) return 'lost'
  return state.exit ? 'left' : 'healing'
}

function armProgress(trial: Trial, arm: Key, glued: readonly Glued[]): ArmProgress {
  const own = glued.filter((piece) => piece.state.arm === arm)
  const count = (what: ReturnType<typeof fate>) => own.filter((piece) => fate(trial, piece) === what).length
  return {
    arm,
    cuts: new Set(own.map((piece) => piece.cluster)).size,
    pieces: own.length,
    healing: count('healing'),
    ready: count('ready'),
    lost: count('lost'),
    left: count('left'),
    otherwise: own.filter((piece) => !asDrawn(trial.varies, arm, piece.done)).length,
  }
}

/** Arms in the trial's order; one that another phone drew before the arms were changed comes last. */
export function progressOf(trial: Trial, glued: readonly Glued[]): Progress {
  const drawn = glued.filter((piece) => piece.state.arm !== null)
  const arms = new Set([...trial.arms, ...drawn.map((piece) => piece.state.arm as Key)])
  return {
    cuts: new Set(drawn.map((piece) => piece.cluster)).size,
    pieces: drawn.length,
    arms: [...arms].map((arm) => armProgress(trial, arm, glued)),
    undrawn: glued.length - drawn.length,
  }
}
