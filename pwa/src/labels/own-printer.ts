/**
 * A printer and tray, as typed and as a record keeps it: an entry of list 'printer' with its dots an
 * inch and what was measured on a calibration page, in whole hundredths of a millimetre. Pure.
 */
import type { FieldValue } from '../records/fields.ts'
import { t } from '../words/index.ts'
import { readHundredths, writeHundredths, type Fields } from './own-sheet.ts'

export const MEASURED = ['cross_x', 'cross_y', 'ruler_x', 'ruler_y'] as const
export type Typed = Record<(typeof MEASURED)[number] | 'name' | 'dpi', string> & { page: 'A4' | 'Letter' }

const LOWEST_DPI = 150
const HIGHEST_DPI = 2400
const CROSS_MM = 30
const RULER_MM = 150
const MOST_SHIFT_MM = 5
const MOST_STRETCH = 0.02

/** How a printer is corrected: shifts in mm, stretches as factors. */
export interface Correction {
  readonly dx: number
  readonly dy: number
  readonly sx: number
  readonly sy: number
}

/**
 * A printed position is p = shift + stretch x: the cross gives the shift, the rulers the stretch;
 * solved for the x that prints where it should. Hundredths of mm in, as the server does it.
 */
export function correction(crossX: number, crossY: number, rulerX: number, rulerY: number): Correction {
  const across = rulerX / 100 / RULER_MM
  const down = rulerY / 100 / RULER_MM
  const dx = -(crossX / 100 - across * CROSS_MM) / across
  const dy = -(crossY / 100 - down * CROSS_MM) / down
  return { dx, dy, sx: 1 / across, sy: 1 / down }
}

/** Whether it is off by no more than a printer is; more is the wrong paper or scaling. */
export function isPrinters({ dx, dy, sx, sy }: Correction): boolean {
  const shift = Math.max(Math.abs(dx), Math.abs(dy))
  const stretch = Math.max(Math.abs(sx - 1), Math.abs(sy - 1))
  return shift <= MOST_SHIFT_MM + 1e-9 && stretch <= MOST_STRETCH + 1e-9
}

/** The fields as a record keeps them, or the sentence that says what is wrong. */
export function readPrinter(typed: Typed): { readonly fields: Fields } | { readonly problem: string } {
  const name = typed.name.trim()
  if (name === '') return { problem: t('labels.printers.nameNeeded') }
  const dpi = /^[0-9]{2,4}$/.test(typed.dpi.trim()) ? Number(typed.dpi) : 0
  if (dpi < LOWEST_DPI || dpi > HIGHEST_DPI) {
    return { problem: t('labels.printers.dpiBad', { low: LOWEST_DPI, high: HIGHEST_DPI }) }
  }
  const measured = MEASURED.map((field) => typed[field].trim())
  if (measured.every((text) => text === '')) return { fields: { name, dpi, page: null, ...emptied() } }
  const read = measured.map(readHundredths)
  if (read.some((value) => value === null || value === 0)) return { problem: t('labels.printers.measureBad') }
  const [crossX, crossY, rulerX, rulerY] = read as [number, number, number, number]
  if (!isPrinters(correction(crossX, crossY, rulerX, rulerY))) return { problem: t('labels.printers.beyond') }
  return {
    fields: {
      name, dpi, page: typed.page, cross_x_hmm: crossX, cross_y_hmm: crossY, ruler_x_hmm: rulerX, ruler_y_hmm: rulerY,
    },
  }
}

function emptied(): Fields {
  return Object.fromEntries(MEASURED.map((field) => [`${field}_hmm`, null]))
}

/** What is said of a printer in a list: its dots, and how it is corrected. */
export function correctionOf(fields: Readonly<Record<string, FieldValue>>): Correction | null {
  const read = MEASURED.map((field) => fields[`${field}_hmm`])
  if (!read.every((value) => typeof value === 'number')) return null
  const [crossX, crossY, rulerX, rulerY] = read as unknown as [number, number, number, number]
  return correction(crossX, crossY, rulerX, rulerY)
}

export function typedFrom(fields: Readonly<Record<string, FieldValue>>): Typed {
  const measured = Object.fromEntries(MEASURED.map((field) => [field, writeHundredths(fields[`${field}_hmm`])]))
  return {
    ...(measured as Record<(typeof MEASURED)[number], string>),
    name: String(fields['name'] ?? ''),
    dpi: fields['dpi'] === undefined || fields['dpi'] === null ? '300' : String(fields['dpi']),
    page: fields['page'] === 'Letter' ? 'Letter' : 'A4',
  }
}
