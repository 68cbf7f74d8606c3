/**
 * Which arm of a trial the next piece of a mother goes to: drawn, and yet the same on every phone
 * without asking any other. How and why is said in `api/planning/draw.py`, which is the same; both
 * run `fixtures/trials/draw.json`. Pure.
 */
import { sha256 } from './sha256.ts'

/** What a draw needs of a trial. */
export interface Plan {
  readonly trial: string
  readonly seed: string
  readonly arms: readonly string[]
  /** Whole parts of a mother are drawn, not pieces: every block holds each arm once. */
  readonly parts: boolean
}

function* bytes(text: string): Generator<number, never> {
  for (let counter = 0; ; counter += 1) yield* sha256(`${text}\n${counter}`)
}

/** A number below `size`, each as likely: bytes that would favour the low ones are passed over. */
function below(size: number, drawn: Generator<number, never>): number {
  const fair = 256 - (256 % size)
  let byte = drawn.next().value
  while (byte >= fair) byte = drawn.next().value
  return byte % size
}

/** One permuted block: Fisher and Yates's shuffle of the arms, once or twice each. */
export function block(plan: Plan, mother: string, number: number): string[] {
  const drawn = bytes(`nubbin draw 1\n${plan.trial}\n${plan.seed}\n${mother}\n${number}`)
  const times = plan.parts ? 1 : 1 + (drawn.next().value % 2)
  const sorted = [...plan.arms].sort((a, b) => (a < b ? -1 : 1))
  const arms = times === 1 ? sorted : [...sorted, ...sorted]
  for (let last = arms.length - 1; last > 0; last -= 1) {
    const other = below(last + 1, drawn)
    ;[arms[last], arms[other]] = [arms[other] as string, arms[last] as string]
  }
  return arms
}

/** The arm of the next piece (or part), given the arms of those of this mother that stand. */
export function nextArm(plan: Plan, mother: string, standing: Iterable<string>): string {
  const left = new Map<string, number>()
  for (const arm of standing) left.set(arm, (left.get(arm) ?? 0) + 1)
  for (let number = 0; ; number += 1) {
    for (const arm of block(plan, mother, number)) {
      const filled = left.get(arm) ?? 0
      if (filled === 0) return arm
      left.set(arm, filled - 1)
    }
  }
}
