/**
 * A farm's own geometry, as typed and as a record keeps it: an entry of list 'sheet' whose lengths are
 * whole hundredths of a millimetre (`…_hmm`), since a record holds no fractions. Pure. The server
 * works the same checks out again; `fixtures/sheets` holds the two together.
 */
import type { FieldValue } from '../records/fields.ts'
import { number, t, type PlainKey } from '../words/index.ts'
import { PAPERS } from './layout.ts'
import type { Geometry } from './print.ts'

export const PAGES = ['A4', 'Letter', 'own', 'roll', 'round-roll'] as const
export type Page = (typeof PAGES)[number]

export const LENGTHS = [
  'page_width', 'page_height', 'label_width', 'label_height', 'pitch_x', 'pitch_y', 'left', 'top',
] as const
type Length = (typeof LENGTHS)[number]
type Field = Length | 'columns' | 'rows'

export type Typed = Record<Field | 'name', string> & { page: Page }
export type Fields = Record<string, FieldValue>

const MOST_HMM = 200_000
const MOST_POSITIONS = 1000
/** A symbol narrower than this cannot be printed finely enough to be read. */
const NARROWEST_HMM = 800
const ROUNDING_HMM = 2

/** What is asked for on a page of this kind, in the order of the form. */
export function asked(page: Page): readonly Field[] {
  if (page === 'roll') return ['label_width', 'label_height']
  if (page === 'round-roll') return ['label_width']
  const paper: Field[] = page === 'own' ? ['page_width', 'page_height'] : []
  return [...paper, 'label_width', 'label_height', 'columns', 'rows', 'pitch_x', 'pitch_y', 'left', 'top']
}

/** Millimetres as people type them, in hundredths; null where they are none. */
export function readHundredths(text: string): number | null {
  const plain = text.trim().replace(',', '.')
  if (!/^[0-9]{1,4}(\.[0-9]{1,2})?$/.test(plain)) return null
  return Math.round(Number(plain) * 100)
}

export function writeHundredths(value: FieldValue | undefined): string {
  return typeof value === 'number' ? number(value / 100, { useGrouping: false }) : ''
}

function isCount(field: Field): boolean {
  return field === 'columns' || field === 'rows'
}

function keyOf(field: Field): string {
  return isCount(field) ? field : `${field}_hmm`
}

/** The fields as a record keeps them, or the sentence that says what is wrong. */
export function readSheet(typed: Typed): { readonly fields: Fields } | { readonly problem: string } {
  const name = typed.name.trim()
  if (name === '') return { problem: t('labels.own.nameNeeded') }
  const fields: Fields = { name, page: typed.page }
  for (const field of asked(typed.page)) {
    const text = typed[field].trim()
    const count = /^[0-9]{1,4}$/.test(text) ? Number(text) : null
    const value = isCount(field) ? count : readHundredths(text)
    if (value === null) {
      const what = t(`labels.own.fields.${field}` as PlainKey)
      return { problem: t(isCount(field) ? 'labels.own.countBad' : 'labels.own.lengthBad', { what }) }
    }
    fields[keyOf(field)] = value
  }
  const problem = problemOf(fields)
  return problem === null ? { fields } : { problem }
}

/** Why a sheet with these fields cannot be; null where it can. */
export function problemOf(fields: Fields): string | null {
  const page = fields['page'] as Page
  const given = Object.fromEntries(asked(page).map((field) => [field, fields[keyOf(field)]])) as Record<Field, number>
  if (Object.values(given).some((value) => !Number.isInteger(value) || value < 0 || value > MOST_HMM)) {
    return t('labels.own.missing')
  }
  const { label_width: width, label_height: height = width } = given
  if (Math.min(width, height) < NARROWEST_HMM) return t('labels.own.small', { mm: NARROWEST_HMM / 100 })
  if (page === 'roll' || page === 'round-roll') return null
  const paper = PAPERS[page] ?? [given.page_width / 100, given.page_height / 100]
  const across = { count: given.columns, size: width, pitch: given.pitch_x, margin: given.left, paper: Math.round(paper[0] * 100) }
  const down = { count: given.rows, size: height, pitch: given.pitch_y, margin: given.top, paper: Math.round(paper[1] * 100) }
  if (across.count * down.count > MOST_POSITIONS) return t('labels.own.many', { most: MOST_POSITIONS })
  return wrongAlong(across, 'x') ?? wrongAlong(down, 'y')
}

interface Axis {
  readonly count: number
  readonly size: number
  readonly pitch: number
  readonly margin: number
  readonly paper: number
}

function wrongAlong({ count, size, pitch, margin, paper }: Axis, way: 'x' | 'y'): string | null {
  if (count < 1) return t('labels.own.noGrid')
  if (count > 1 && pitch < size - ROUNDING_HMM) return t(`labels.own.overlap.${way}`, { pitch: pitch / 100, size: size / 100 })
  const beyond = margin + (count - 1) * pitch + size - paper
  return beyond > ROUNDING_HMM ? t(`labels.own.beyond.${way}`, { mm: Math.round(beyond) / 100, paper: paper / 100 }) : null
}

/** For the drawing. */
export function drawn(fields: Fields, id: string): Geometry {
  const mm = (field: Length) => (Number(fields[`${field}_hmm`] ?? 0) || 0) / 100
  const page = fields['page'] as Page
  const round = page === 'round-roll'
  const size = { label_width: mm('label_width'), label_height: round ? mm('label_width') : mm('label_height') }
  const name = String(fields['name'] ?? id)
  if (page === 'roll' || round) return { id, name, own: true, page: 'roll', columns: 1, rows: 1, round, ...size }
  return {
    id, name, own: true, page, round: false, ...size,
    columns: Number(fields['columns']), rows: Number(fields['rows']),
    pitch_x: mm('pitch_x'), pitch_y: mm('pitch_y'), left: mm('left'), top: mm('top'),
    ...(page === 'own' && { page_width: mm('page_width'), page_height: mm('page_height') }),
  }
}

export function blank(): Typed {
  const fields = ['name', ...LENGTHS, 'columns', 'rows'].map((field) => [field, ''])
  return { ...Object.fromEntries(fields), page: 'A4' } as Typed
}

/** An entry to be changed. */
export function typedFrom(fields: Readonly<Fields>): Typed {
  const typed = blank()
  typed.name = String(fields['name'] ?? '')
  typed.page = PAGES.find((page) => page === fields['page']) ?? 'A4'
  for (const field of LENGTHS) typed[field] = writeHundredths(fields[`${field}_hmm`])
  for (const field of ['columns', 'rows'] as const) typed[field] = String(fields[field] ?? '')
  return typed
}

/** A sheet there is, as a start for an own one; its name is to be given. */
export function copyOf(sheet: Geometry): Typed {
  const typed = blank()
  const write = (mm: number | undefined) => writeHundredths(Math.round((mm ?? 0) * 100))
  typed.page = sheet.page === 'roll' ? (sheet.round ? 'round-roll' : 'roll') : (PAGES.find((one) => one === sheet.page) ?? 'own')
  for (const field of LENGTHS) typed[field] = write(sheet[field])
  typed.columns = String(sheet.columns)
  typed.rows = String(sheet.rows)
  return typed
}
