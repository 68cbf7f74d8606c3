/** Ways of cutting. Pure. */
import { isByHand } from '../cuts/numbers.ts'
import { nameOf, type Item } from '../stock/lists.ts'

/** Whether it cuts without a driven blade: as the farm has said, else guessed from the name. */
export function byHand(method: Item | undefined): boolean {
  const said = method?.fields['by_hand']
  if (typeof said === 'boolean') return said
  return method !== undefined && isByHand(method.id, nameOf(method))
}
