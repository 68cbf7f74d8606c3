/** A part of a camera frame, in frame pixels, and how much it is enlarged before reading. */
export interface Crop {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
  readonly scale: number
}

export interface Size {
  readonly width: number
  readonly height: number
}

export interface Spot {
  readonly x: number
  readonly y: number
}

function middle(frame: Size, share: number, scale: number): Crop {
  const width = Math.round(frame.width * share)
  const height = Math.round(frame.height * share)
  return {
    x: Math.round((frame.width - width) / 2),
    y: Math.round((frame.height - height) / 2),
    width,
    height,
    scale,
  }
}

/**
 * What to read of frame number `turn`: the middle three quarters as it is and the middle half
 * enlarged twice, in turn, since enlarging with smoothing rescues noise and film but loses the
 * edges of the view. With `many` labels in view the whole frame takes its turn instead.
 */
export function cropFor(turn: number, frame: Size, many: boolean): Crop {
  if (many) return turn % 2 ? middle(frame, 0.75, 1.5) : middle(frame, 1, 1)
  return turn % 2 ? middle(frame, 0.5, 2) : middle(frame, 0.75, 1)
}

/** The slower second reader looks at every third frame, so that it meets both crops. */
export function secondOpinion(turn: number): boolean {
  return turn % 3 === 2
}

/** From a point in the cropped, enlarged picture back to the frame. */
export function toFrame(spot: Spot, crop: Crop): Spot {
  return { x: crop.x + spot.x / crop.scale, y: crop.y + spot.y / crop.scale }
}

/** From a point in the frame to the box that shows it filled and centred (`object-fit: cover`). */
export function toBox(spot: Spot, frame: Size, box: Size): Spot {
  const scale = Math.max(box.width / frame.width, box.height / frame.height)
  return {
    x: box.width / 2 + (spot.x - frame.width / 2) * scale,
    y: box.height / 2 + (spot.y - frame.height / 2) * scale,
  }
}
