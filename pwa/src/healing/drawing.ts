/**
 * Step curves as SVG paths. Drawn here, since the policy that protects the app forbids the style
 * elements that plotting libraries put into a page. Pure.
 */
import type { CurvePoint } from './report.ts'

export interface Box {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
}

export interface Scale {
  readonly x: (day: number) => number
  readonly y: (share: number) => number
}

export interface Level {
  readonly day: number
  readonly share: number
}

/** Days run from 0 to `days` from left to right, shares from 0 to 1 upward; pixels. */
export function scale(box: Box, days: number): Scale {
  return {
    x: (day) => box.left + (day / days) * box.width,
    y: (share) => box.top + (1 - share) * box.height,
  }
}

const write = (value: number) => String(Math.round(value * 10) / 10)

/** From 0 at day 0, each level holds until the next one's day; the last one until `until`. */
function corners(levels: readonly Level[], until: number): Level[] {
  const found: Level[] = [{ day: 0, share: 0 }]
  let share = 0
  for (const level of levels) {
    found.push({ day: level.day, share }, level)
    share = level.share
  }
  const last = levels.at(-1)?.day ?? 0
  return until > last ? [...found, { day: until, share }] : found
}

function line(points: readonly Level[], { x, y }: Scale): string {
  return points.map(({ day, share }) => `${write(x(day))} ${write(y(share))}`).join('L')
}

export function stepPath(levels: readonly Level[], until: number, to: Scale): string {
  return `M${line(corners(levels, until), to)}`
}

/** Between two step curves: forward along the upper one, back along the lower. */
export function betweenPath(low: readonly Level[], high: readonly Level[], until: number, to: Scale): string {
  return `M${line(corners(high, until), to)}L${line(corners(low, until).reverse(), to)}Z`
}

export function levels(curve: readonly CurvePoint[], of: Exclude<keyof CurvePoint, 'day'>): Level[] {
  return curve.map((point) => ({ day: point.day, share: point[of] }))
}

/** Four to eight round days from 0 up to at least `days`, so that the last one ends the axis. */
export function ticks(days: number): number[] {
  const steps = [1, 2, 5, 7, 10, 14, 20, 25, 30, 50, 60, 100, 150, 200, 250, 500, 1000]
  const step = steps.find((one) => days / one <= 6) ?? Math.ceil(days / 6 / 1000) * 1000
  const count = Math.max(1, Math.ceil(days / step))
  return Array.from({ length: count + 1 }, (_, index) => index * step)
}

/** Moves labels at the right edge apart by at least `gap`, in the order they stand, inside the box. */
export function apart(ys: readonly number[], gap: number, lowest: number): number[] {
  const order = ys.map((y, index) => ({ y, index })).sort((a, b) => a.y - b.y)
  for (let at = 1; at < order.length; at += 1) {
    const [before, here] = [order[at - 1], order[at]]
    if (before && here) here.y = Math.max(here.y, before.y + gap)
  }
  for (let at = order.length - 1, limit = lowest; at >= 0; at -= 1, limit -= gap) {
    const here = order[at]
    if (here) here.y = Math.min(here.y, limit)
  }
  return order.sort((a, b) => a.index - b.index).map(({ y }) => y)
}
