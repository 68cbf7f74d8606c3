/** What is asked of each list's entries besides their name. Pure. */
import type { Endpoint, ListName } from '../records/fields.ts'

export type EditedList = 'species' | 'base' | 'method' | 'blade' | 'tray' | 'tank' | 'cause'

export interface PlainField {
  readonly kind: 'text' | 'switch' | 'date' | 'signs'
  readonly name: string
}
export interface NumberField {
  readonly kind: 'number'
  readonly name: string
  readonly low: number
  readonly high: number
  /** What stands there in a new entry. */
  readonly usual: number | null
}
/** Kept as the digits that were typed, with a point: a float would change them. */
export interface DecimalField {
  readonly kind: 'decimal'
  readonly name: string
  readonly high: number
}
export interface ChoiceField {
  readonly kind: 'choice'
  readonly name: string
  readonly values: readonly string[]
  /** May be left unanswered; kept as null. Else the first one stands in a new entry. */
  readonly open?: boolean
  /** Kept as a number. */
  readonly steps?: boolean
}
/** An entry of another list. */
export interface ItemField {
  readonly kind: 'item'
  readonly name: string
  readonly list: ListName
}
export type EntryField = PlainField | NumberField | DecimalField | ChoiceField | ItemField

/** Fields that stand together, under a quiet heading where they have one. */
export interface Group {
  readonly title: 'care' | 'safety' | 'before' | 'label' | 'map' | 'inside' | null
  /** The rule that proposes this readiness: folded away. */
  readonly rule?: Endpoint
  readonly fields: readonly EntryField[]
}

const whole = (name: string, low: number, high: number, usual: number | null): NumberField => ({
  kind: 'number', name, low, high, usual,
})
const text = (name: string): PlainField => ({ kind: 'text', name })
const choice = (name: string, ...values: string[]): ChoiceField => ({ kind: 'choice', name, values })

/** `stock/rule.ts` reads these. What is not asked is null. */
const rule = (of: Endpoint): Group => ({
  title: null,
  rule: of,
  fields: [
    { kind: 'choice', name: `${of}_mouth`, values: ['bud', 'open', 'feeding'], open: true },
    { kind: 'choice', name: `${of}_encrustation`, values: ['1', '2', '3', '4'], open: true, steps: true },
    { kind: 'choice', name: `${of}_recession`, values: ['none', 'rim', 'quarter', 'half'], open: true },
    { kind: 'signs', name: `${of}_signs` },
    whole(`${of}_checks`, 1, 9, null),
  ],
})

export const GROUPS: Record<EditedList, readonly Group[]> = {
  species: [
    { title: null, fields: [text('common'), choice('form', 'single', 'massive', 'branching')] },
    // Six to twelve months from one cut to the next: common practice, no source.
    { title: 'care', fields: [whole('check_days', 1, 365, 7), whole('rest_days', 1, 1500, 180)] },
    rule('sale'),
    rule('cut'),
    { title: 'safety', fields: [{ kind: 'switch', name: 'toxic' }] },
  ],
  base: [
    { title: null, fields: [choice('shape', 'hexagon', 'disc', 'block'), whole('across_mm', 5, 500, null), whole('height_mm', 1, 500, null)] },
    // Ten minutes at least, overnight is usual: common practice, no source.
    { title: 'before', fields: [{ kind: 'switch', name: 'porous' }, whole('soak_min', 0, 10_080, 10)] },
    {
      title: 'label',
      fields: [
        { kind: 'choice', name: 'label_sits', values: ['stem', 'rim', 'corner', 'flag', 'underside', 'tray'], open: true },
        whole('label_width_mm', 5, 200, null),
      ],
    },
  ],
  method: [{ title: null, fields: [{ kind: 'switch', name: 'by_hand' }] }],
  blade: [
    {
      title: null,
      fields: [
        text('blade_kind'), { kind: 'decimal', name: 'blade_width_mm', high: 50 }, { kind: 'date', name: 'fitted' },
        { kind: 'item', name: 'method', list: 'method' },
      ],
    },
  ],
  tray: [
    { title: 'map', fields: [whole('columns', 1, 60, null), whole('rows', 1, 60, null)] },
    { title: 'inside', fields: [whole('width_mm', 20, 20_000, null), whole('depth_mm', 20, 20_000, null), whole('gap_mm', 0, 200, null)] },
  ],
  tank: [{ title: null, fields: [whole('litres', 1, 999_999, null)] }],
  cause: [],
}

export const LISTS = Object.keys(GROUPS) as EditedList[]

export function fieldsOf(list: EditedList): readonly EntryField[] {
  return GROUPS[list].flatMap((group) => group.fields)
}
