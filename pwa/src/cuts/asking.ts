/** What the screens at the saw ask of this phone; without a network. */
import type { Id, Key } from '../records/fields.ts'
import { display } from '../label/code.ts'
import { takenOf } from '../photos/album.ts'
import { itemName } from '../stock/view.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { rowsIn, type Asked, type CutInList } from './cut-rows.ts'
import { wear, type Wear } from './wear.ts'

/** The newest cuts of those that are asked for, and how many there are. */
export function cutRows(asked: Asked, most: number): ReturnType<typeof rowsIn> {
  return phone.read((tx) => rowsIn(tx, asked, most))
}

/** A cut in a list: what it is of, and which mother, when and how many pieces. */
export function cutWords({ cut, mother, glued }: CutInList, when: (at: number) => string): { title: string; line: string } {
  const line = mother?.line ?? t('piece.noLine')
  const code = mother?.code ? `${display(mother.code)}, ` : ''
  return {
    title: t('cuts.choose.row', { line, method: itemName(cut.body.method, (key) => phone.item(key)) }),
    line: `${code}${when(cut.at)}, ${t('cuts.choose.pieces', { count: glued.length })}`,
  }
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
  const taken = await phone.read((tx) => takenOf(tx, 'cut', cut))
  return taken.map(({ at, record }) => ({ at, sha256: record.body.sha256 }))
}
