import { keep, kept } from '../kit/kept.ts'
import type { Key } from '../records/fields.ts'
import { begun, current, type Soak } from './soak.ts'

const KEY = 'nubbin.soak'

/** What soaks in the bucket beside this phone: whoever holds it next wants to know too. */
class Soaking {
  #soaks = $state.raw<readonly Soak[]>(current(kept<Soak[]>(KEY) ?? [], Date.now()))

  of(base: Key): Soak | null {
    return this.#soaks.find((one) => one.base === base) ?? null
  }

  begin(base: Key): void {
    this.#set(begun(this.#soaks, base, Date.now()))
  }

  end(base: Key): void {
    this.#set(this.#soaks.filter((one) => one.base !== base))
  }

  #set(soaks: readonly Soak[]): void {
    this.#soaks = soaks
    keep(KEY, soaks)
  }
}

export const soaking = new Soaking()
