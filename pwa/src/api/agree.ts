/**
 * Types only: what this app records is what the server's description takes, kind by kind, and what
 * the server answers is what this app reads. svelte-check fails where the two have drifted apart.
 */
import type { Bodies, Kind } from '../records/bodies.ts'
import type { PieceState } from '../stock/state.ts'
import type { components } from './schema.d.ts'

type Schemas = components['schemas']
type Frozen<T> = T extends (infer E)[]
  ? readonly Frozen<E>[]
  : T extends object
    ? { readonly [K in keyof T]: Frozen<T[K]> }
    : T

/** The server's name of each kind's body. */
interface Named {
  arrival: 'ArrivalBody'
  cut: 'CutBody'
  glue: 'GlueBody'
  cut_end: 'CutEndBody'
  bind: 'BindBody'
  check: 'CheckBody'
  ready: 'ReadyBody'
  loss: 'LossBody'
  exit: 'ExitBody'
  move: 'MoveBody'
  purpose: 'PurposeBody'
  care: 'CareBody'
  water: 'WaterBody'
  photo: 'PhotoBody'
  note: 'NoteBody'
  define: 'DefineBody'
  retract: 'RetractBody'
}

type Taken<K extends Kind> = Bodies[K] extends Frozen<Schemas[Named[K]]> ? true : K
type SameFields<K extends Kind> = keyof Schemas[Named[K]] extends keyof Bodies[K] ? true : K
type Holds<T extends true> = T

export type EveryBodyIsTaken = Holds<{ [K in Kind]: Taken<K> }[Kind]>
export type NoFieldIsMissing = Holds<{ [K in Kind]: SameFields<K> }[Kind]>
export type StatesHaveTheSameFields = Holds<
  keyof Schemas['PieceState'] extends keyof PieceState
    ? keyof PieceState extends keyof Schemas['PieceState']
      ? true
      : false
    : false
>
