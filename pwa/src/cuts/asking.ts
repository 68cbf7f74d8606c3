/** What the screens at the saw ask of this phone; without a network. */
import type { Id, Key } from '../records/fields.ts'
import { inOrder, isKnown, type RecordOf } from '../records/kinds.ts'
import { subjectKey } from '../sync/keep.ts'
import { phone } from '../sync/phone.svelte.ts'
import { rowsIn, type Asked } from './cut-rows.ts'
import { wear, type Wear } from './wear.ts'

/** The newest cuts of those that are asked for, and how many there are. */
export function cutRows(asked: Asked, most: number): ReturnType<typeof rowsIn> {
  return phone.read((tx) => rowsIn(tx, asked, most))
}

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

/** Pictures of the cut itself, its faces, oldest first. */
export async function facesOf(cut: Id): Promise<readonly { readonly sha256: string; readonly at: number }[]> {
  return phone.read(async (tx) => {
    const rows = await tx.objectStore('records').index('subject').getAll(subjectKey('cut', cut))
    const found = rows.filter(({ record, gone, refused }) => record.kind === 'photo' && isKnown(record) && !gone && !refused)
    return found.sort(inOrder).map(({ at, record }) => ({ at, sha256: (record as RecordOf<'photo'>).body.sha256 }))
  })
}
