/** Starting the side that keeps the records, and giving scanning its answers from it. */
import { learnNames } from '../access/names.ts'
import { provide, type PieceView as Seen } from '../scan/lookup.ts'
import { nameOf } from '../stock/lists.ts'
import { pieceName, signOf, whereText } from '../stock/view.ts'
import { home } from './home.svelte.ts'
import { phone, type PieceView } from './phone.svelte.ts'

export async function start(): Promise<void> {
  home.start()
  await phone.start()
  void learnNames()
  const seen = (view: PieceView): Seen => {
    const find = (id: string) => phone.item(id)
    return {
      id: view.id,
      code: view.code,
      sign: signOf(view, find, phone.today()),
      name: pieceName(view),
      where: whereText(view, find),
    }
  }
  provide({
    async byCode(code) {
      const found = await phone.byCode(code)
      return found && seen(found)
    },
    async byPlace(tray, place) {
      const [found] = await phone.byPlace(tray, place)
      return found ? seen(found) : null
    },
    trays: async () => phone.trays().map((item) => ({ id: item.id, name: nameOf(item) })),
  })
}
