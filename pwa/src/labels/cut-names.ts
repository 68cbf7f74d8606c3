/** What a cut is called in a list. */
import { phone, type CutView } from '../sync/phone.svelte.ts'
import { day, t } from '../words/index.ts'

export async function readable(cut: CutView): Promise<string> {
  const [mother, glued] = await Promise.all([phone.piece(cut.body.mother), phone.gluedFrom(cut.id)])
  return t('labels.pieces.cut', { day: day(cut.at), line: mother?.line ?? t('piece.noLine'), count: glued.length })
}
