import { t } from '../words/index.ts'
import type { Sign } from './glyph.ts'

/** The glyph in words, for a screen reader and for a list that shows both. */
export function glyphWords(sign: Sign): string {
  const words = [t(`kit.glyph.shape.${sign.shape}`), t(`kit.glyph.stage.${sign.stage}`)]
  if (sign.stage === 'lost' || sign.stage === 'exited' || sign.stage === 'used') return words.join(', ')
  if (sign.encrustation !== null) words.push(t(`kit.glyph.encrustation.e${sign.encrustation}`))
  if (sign.mouth !== null) words.push(t(`kit.glyph.mouth.${sign.mouth}`))
  if (sign.recession !== null) words.push(t(`kit.glyph.recession.${sign.recession}`))
  if (sign.overdue) words.push(t('kit.glyph.overdue'))
  return words.join(', ')
}
