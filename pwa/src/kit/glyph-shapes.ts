/** The base as it is; `none` is a colony that stands on no base. */
export type Shape = 'hexagon' | 'disc' | 'block' | 'none'
export type Point = readonly [x: number, y: number]

/** All drawing is in a square of 100 units with its middle here. */
export const CENTRE = 50

/** A regular polygon in polar form, corners up and down: apothem over the cosine to the side. */
function hexagonRim(angle: number): number {
  const turn = Math.PI / 3
  const fromSide = (((angle % turn) + turn) % turn) - turn / 2
  const toMiddle = Math.abs(fromSide) - turn / 2
  return (1.06 * Math.cos(turn / 2)) / Math.cos(toMiddle)
}

/** An outline no tool would cut: a circle with a few fixed waves. */
function colonyRim(angle: number): number {
  const waves = 0.07 * Math.cos(3 * angle + 0.6) + 0.04 * Math.cos(2 * angle - 1) + 0.02 * Math.sin(5 * angle)
  return 0.95 + waves
}

/** Distance from the middle to the rim at an angle (radians), for a base of nominal radius 1. */
export function rim(shape: Shape, angle: number): number {
  if (shape === 'hexagon') return hexagonRim(angle)
  if (shape === 'block') return 0.86 / Math.max(Math.abs(Math.cos(angle)), Math.abs(Math.sin(angle)))
  return shape === 'none' ? colonyRim(angle) : 1
}

export function at(radius: number, angle: number): Point {
  return [CENTRE + radius * Math.cos(angle), CENTRE + radius * Math.sin(angle)]
}

function write(value: number): string {
  return String(Math.round(value * 10) / 10)
}

export function pair([x, y]: Point): string {
  return `${write(x)} ${write(y)}`
}

export function polygon(points: readonly Point[]): string {
  return `M${points.map(pair).join('L')}Z`
}

export function circle(radius: number): string {
  const r = write(radius)
  const across = write(2 * radius)
  return `M${write(CENTRE - radius)} ${CENTRE}a${r} ${r} 0 1 0 ${across} 0a${r} ${r} 0 1 0 -${across} 0Z`
}

/** The rim as points, evenly spaced by angle and starting from straight up. */
export function ring(shape: Shape, radius: number, steps: number): Point[] {
  return Array.from({ length: steps }, (_, step) => {
    const angle = -Math.PI / 2 + (2 * Math.PI * step) / steps
    return at(radius * rim(shape, angle), angle)
  })
}

/** The outline of a base with the given nominal radius, as few points as its shape needs. */
export function outline(shape: Shape, radius: number): string {
  if (shape === 'disc') return circle(radius)
  if (shape === 'hexagon') return polygon(ring(shape, radius, 6))
  if (shape === 'none') return polygon(ring(shape, radius, 60))
  const half = 0.86 * radius
  const [low, high] = [CENTRE - half, CENTRE + half]
  return polygon([[low, low], [high, low], [high, high], [low, high]])
}
