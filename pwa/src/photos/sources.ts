/** Where a picture can be had, the nearest first. Pure. */
export type Source =
  | { readonly from: 'phone'; readonly bytes: ArrayBuffer }
  | { readonly from: 'server'; readonly path: string }

export interface OnPhone {
  readonly bytes: ArrayBuffer | null
  readonly small: ArrayBuffer
}

/** `large`: all its pixels if they can be had, else the small picture. */
export function sources(sha256: string, held: OnPhone | null, large: boolean): Source[] {
  const here = (bytes: ArrayBuffer | null | undefined): Source[] => (bytes ? [{ from: 'phone', bytes }] : [])
  const small = here(held?.small)
  const path = `/api/photos/${sha256}`
  if (!large) return small.length > 0 ? small : [{ from: 'server', path: `${path}/small` }]
  if (held?.bytes) return here(held.bytes)
  return [{ from: 'server', path }, ...small]
}
