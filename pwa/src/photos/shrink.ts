/** How small a photo is made before it is kept. Pure. */
import type { Size } from './jpeg.ts'

/** Pixels along the longer side, at most. */
export const LONGEST = 2048
export const SMALL = 320
/** Bytes that a photo should not exceed. */
export const HEAVIEST = 2_000_000
/** More pixels than this a phone may not have the memory to open: 256 MB at four bytes each. */
export const MOST_PIXELS = 64_000_000

export interface Attempt {
  readonly longest: number
  readonly quality: number
}

/** Less quality first, since it costs the eye less than fewer pixels do. */
export const ATTEMPTS: readonly Attempt[] = [
  { longest: LONGEST, quality: 0.85 },
  { longest: LONGEST, quality: 0.75 },
  { longest: LONGEST, quality: 0.6 },
  { longest: 1536, quality: 0.6 },
  { longest: 1024, quality: 0.6 },
  { longest: 640, quality: 0.6 },
]

/** As large as `longest` allows, never larger than it is, in its own proportions. */
export function fit({ width, height }: Size, longest: number): Size {
  const scale = Math.min(1, longest / Math.max(width, height))
  const shrunk = (side: number) => Math.max(1, Math.round(side * scale))
  return { width: shrunk(width), height: shrunk(height) }
}

/** The first attempt that is light enough; null where none is. */
export async function lightest<T extends { readonly size: number }>(draw: (attempt: Attempt) => Promise<T>): Promise<T | null> {
  for (const attempt of ATTEMPTS) {
    const drawn = await draw(attempt)
    if (drawn.size <= HEAVIEST) return drawn
  }
  return null
}
