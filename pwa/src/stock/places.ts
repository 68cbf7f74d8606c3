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

/** Columns and rows of a tray's map; null where nobody has said. */
export function mapOf(tray: Item | undefined): Spot | null {
  const { columns, rows } = tray?.fields ?? {}
  return typeof columns === 'number' && typeof rows === 'number' ? { column: columns, row: rows } : null
}

export function within(spot: Spot, map: Spot | null): boolean {
  return map === null || (spot.column <= map.column && spot.row <= map.row)
}

/** The place after this one, along the row and then to the next; null at the end of the map. */
export function nextPlace(spot: Spot, map: Spot | null): Spot | null {
  if (map === null || spot.column < map.column) return { column: spot.column + 1, row: spot.row }
  return spot.row < map.row ? { column: 1, row: spot.row + 1 } : null
}
