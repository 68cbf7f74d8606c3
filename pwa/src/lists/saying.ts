/** What stands below a field of an entry: what an answer means, and where a number comes from. Pure. */
import { roomFor, SITS } from '../label/sits.ts'
import { widthText } from '../label/sits-words.ts'
import { t } from '../words/index.ts'
import { fieldsOf } from './fields.ts'
import { readField, type Typed } from './read.ts'

const FORMS = ['single', 'massive', 'branching'] as const

/** Sentences, each a line; none where nothing needs saying. */
export function saying(name: string, typed: Typed): readonly string[] {
  switch (name) {
    case 'form': {
      const form = FORMS.find((one) => one === typed['form'])
      return form ? [t(`setup.lists.formMeans.${form}`)] : []
    }
    case 'soak_min':
      return [t('setup.lists.soak')]
    case 'label_sits': {
      const sits = SITS.find((one) => one === typed['label_sits'])
      return [t(`setup.lists.sits.${sits ?? 'none'}`)]
    }
    case 'label_width_mm':
      return widthLines(typed)
    default:
      return []
  }
}

function widthLines(typed: Typed): string[] {
  const sits = SITS.find((one) => one === typed['label_sits']) ?? null
  const width = numberOf('label_width_mm', typed)
  if (width === null) return [t('setup.lists.symbol.unknown')]
  const most = roomFor(sits, { across_mm: numberOf('across_mm', typed), height_mm: numberOf('height_mm', typed) })
  const wide = most !== null && width > most ? [t('setup.lists.symbol.wide', { width, most })] : []
  return [...wide, widthText(width)]
}

function numberOf(name: string, typed: Typed): number | null {
  const field = fieldsOf('base').find((one) => one.name === name)
  const value = field ? readField(field, typed[name]) : null
  return typeof value === 'number' ? value : null
}
