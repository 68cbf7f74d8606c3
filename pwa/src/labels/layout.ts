/** Where the labels of a sheet lie, in mm, for a drawing to scale. Pure. */
import type { Geometry } from './print.ts'

// ISO 216 and North American letter paper (8.5 by 11 inches).
export const PAPERS: Record<string, readonly [number, number]> = { A4: [210, 297], Letter: [215.9, 279.4] }

export interface Slot {
  /** From 1, row by row. */
  readonly position: number
  readonly row: number
  readonly column: number
  readonly x: number
  readonly y: number
}

export interface Layout {
  readonly width: number
  readonly height: number
  readonly slots: readonly Slot[]
}

interface Axis {
  readonly count: number
  readonly size: number
  readonly page: number
  readonly pitch: number | undefined
  readonly margin: number | undefined
}

/** Starts of the labels along one way; equal margins and no gaps where the sheet does not say. */
function starts({ count, size, page, pitch, margin }: Axis): number[] {
  const step = pitch || size
  const first = margin ?? (page - (count - 1) * step - size) / 2
  return Array.from({ length: count }, (_, index) => first + index * step)
}

export function layoutOf(sheet: Geometry): Layout {
  const [pageWidth, pageHeight] = PAPERS[sheet.page] ?? [sheet.label_width, sheet.label_height]
  const width = sheet.page_width ?? pageWidth
  const height = sheet.page_height ?? pageHeight
  const xs = starts({ count: sheet.columns, size: sheet.label_width, page: width, pitch: sheet.pitch_x, margin: sheet.left })
  const ys = starts({ count: sheet.rows, size: sheet.label_height, page: height, pitch: sheet.pitch_y, margin: sheet.top })
  const slots = ys.flatMap((y, row) =>
    xs.map((x, column) => ({ position: row * xs.length + column + 1, row: row + 1, column: column + 1, x, y })),
  )
  return { width, height, slots }
}

/** How many sheets `count` labels take when the first one begins at position `start`. */
export function sheetsFor(count: number, start: number, positions: number): number {
  return Math.ceil((count + start - 1) / positions)
}

/** Whether a position of the first sheet will be printed on. */
export function isPrinted(position: number, count: number, start: number): boolean {
  return position >= start && position < start + count
}
