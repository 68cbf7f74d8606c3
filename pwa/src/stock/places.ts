/** Places on a tray's map: a column letter and a row number, such as B7. Pure. */
import type { Item } from './lists.ts'

const PLACE = /^([A-Z]{1,2})([1-9][0-9]{0,2})$/

/** Column 1 is A, 26 is Z, 27 is AA. */
export function columnLetters(column: number): string {
  const last = String.fromCharCode(65 + ((column - 1) % 26))
  return column > 26 ? columnLetters(Math.floor((column - 1) / 26)) + last : last
}

function columnNumber(letters: string): number {
  return [...letters].reduce((sum, letter) => 26 * sum + letter.charCodeAt(0) - 64, 0)
}

export interface Spot {
  readonly column: number
  readonly row: number
}

/** As typed, in either case and with spaces; null where it is no place. */
export function readPlace(text: string): Spot | null {
  const found = PLACE.exec(text.toUpperCase().replace(/[\s-]/g, ''))
  if (!found) return null
  return { column: columnNumber(found[1] ?? ''), row: Number(found[2]) }
}

export function writePlace({ column, row }: Spot): string {
  return `${columnLetters(column)}${row}`
}

/** As the list takes them: of a larger map no phone could draw every place. */
const MOST = 60
const isSize = (value: unknown): value is number => typeof value === 'number' && Number.isInteger(value) && value >= 1 && value <= MOST

/** Columns and rows of a tray's map; null where nobody has said. */
export function mapOf(tray: Item | undefined): Spot | null {
  const { columns, rows } = tray?.fields ?? {}
  return isSize(columns) && isSize(rows) ? { column: columns, row: rows } : null
}

export function within(spot: Spot, map: Spot | null): boolean {
  return map === null || (spot.column <= map.column && spot.row <= map.row)
}
