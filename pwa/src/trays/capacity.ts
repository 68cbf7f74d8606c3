/** How many bases of each kind a tray takes, by the sizes that the farm's lists give. Pure. */
import { baseShape, nameOf, type Item } from '../stock/lists.ts'
import { fullest, type Lattice, type Tile } from './tessellation.ts'

export interface Takes {
  readonly base: string
  readonly name: string
  readonly across: number
  /** Null where not even one goes in. */
  readonly way: Lattice | null
}

/** Null where nobody has said how large the tray is inside. Bases without a size are left out. */
export function takes(tray: Item, bases: readonly Item[]): Takes[] | null {
  const [width, depth] = [millimetres(tray, 'width_mm'), millimetres(tray, 'depth_mm')]
  if (width === null || depth === null) return null
  const gap = millimetres(tray, 'gap_mm') ?? 0
  return bases.flatMap((base) => {
    const across = millimetres(base, 'across_mm')
    if (across === null) return []
    const tile: Tile = { shape: baseShape(base), across, gap }
    return [{ base: base.id, name: nameOf(base), across, way: fullest(tile, { width, depth }) }]
  })
}

function millimetres(item: Item, field: string): number | null {
  const value = item.fields[field]
  return typeof value === 'number' && value > 0 ? value : null
}
