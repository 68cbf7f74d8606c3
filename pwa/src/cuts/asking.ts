/** What the screens at the saw ask of this phone; without a network. */
import type { Key } from '../records/fields.ts'
import { phone } from '../sync/phone.svelte.ts'
import { wear, type Wear } from './wear.ts'

/** What a blade has been through, out of the cuts and their mothers alone. */
export async function wearOf(blade: Key): Promise<Wear> {
  return phone.read(async (tx) => {
    const cuts = (await tx.objectStore('cuts').getAll()).filter((cut) => !cut.gone && cut.body.blade === blade)
    const bases = new Map<string, Key | null>()
    for (const { mother } of cuts) {
      if (!bases.has(mother)) bases.set(mother, (await tx.objectStore('pieces').get(mother))?.state.base ?? null)
    }
    return wear(cuts, blade, (mother) => bases.get(mother) ?? null)
  })
}
