/** How a tray's map is drawn: the size of a cell, and where the arrow keys lead. Pure. */
import type { Item } from '../stock/lists.ts'
import type { TrayMap } from './tray-map.ts'

export interface Cell {
  /** In rem: a thumb and the gap beside it at least. */
  readonly wide: number
  readonly high: number
}

const LEAST = 3.5
/** Beyond this the longer side of a cell would leave no room for its neighbours on a phone. */
const MOST = 2.5

/**
 * As the places lie in the tray, where its width and depth inside are noted; else square. Rows are
 * drawn in line, never staggered: nothing in the records says how a tray is laid.
 */
export function cellOf(tray: Item | undefined, { columns, rows }: TrayMap): Cell {
  const [width, depth] = [tray?.fields['width_mm'], tray?.fields['depth_mm']]
  if (typeof width !== 'number' || typeof depth !== 'number' || columns.length === 0) return { wide: LEAST, high: LEAST }
  const ratio = width / columns.length / (depth / rows.length)
  const longer = (times: number) => LEAST * Math.min(MOST, Math.max(1, times))
  return { wide: longer(ratio), high: longer(1 / ratio) }
}

const STEPS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
}

/** The next place in a key's direction at which `stops` is true; null where there is none. */
export function placeBeside(map: TrayMap, from: string, key: string, stops: (place: string) => boolean): string | null {
  const step = STEPS[key]
  const grid = map.rows.map((row) => row.cells.map((cell) => cell.place))
  let y = grid.findIndex((row) => row.includes(from))
  let x = grid[y]?.indexOf(from) ?? -1
  while (step && x >= 0 && y >= 0) {
    x += step[0]
    y += step[1]
    const place = grid[y]?.[x]
    if (place === undefined) return null
    if (stops(place)) return place
  }
  return null
}
