/**
 * Older versions of kinds, read as today's: each step takes a body from one version to the next. A
 * record keeps the version it was made in and is stored and passed on as it came; only what is
 * folded and shown is lifted. The same steps stand in Python, and both languages run the cases of
 * `fixtures/lift/`.
 */
type Fields = Readonly<Record<string, unknown>>
export type Step = (body: Fields) => Fields

/** By kind, and by the version a step starts from. So far every kind has one version only. */
export const LIFTS: Record<string, Record<number, Step>> = {}

/** Of a record that names none. */
export const FIRST = 1

/** Today's version of a kind. */
export function versionOf(kind: string): number {
  return Math.max(0, ...Object.keys(LIFTS[kind] ?? {}).map(Number)) + 1
}

interface Versioned {
  readonly kind: string
  readonly v?: number
  readonly body: unknown
}

/** The record as today's version of its kind has it; itself where it is that, or newer. */
export function lifted<R extends Versioned>(record: R): R {
  const steps = LIFTS[record.kind]
  if (!steps) return record
  const now = versionOf(record.kind)
  let [version, body] = [record.v ?? FIRST, record.body as Fields]
  if (version >= now) return record
  for (; version < now; version += 1) {
    const step = steps[version]
    if (!step) return record
    body = step(body)
  }
  return { ...record, v: now, body }
}
