/** Under which place of the bar a screen lies. Pure. */

/** A piece and its check are reached from several places and light up none. */
const UNDER: readonly [RegExp, string][] = [
  [/^\/$|^\/q\//i, '/scan'],
  [/^\/cut\//, '/cuts'],
  [/^\/labels\//, '/labels'],
  [/^\/(trays?|tank|lines|family)(\/|$)/, '/stock'],
  [/^\/trial\//, '/trials'],
  [/^\/healing\//, '/healing'],
  [/^\/(people|phones|held|changes)(\/|$)/, '/setup'],
]

/** The place's own path; the path itself where it is one, or lies under none. */
export function placeOf(path: string): string {
  return UNDER.find(([under]) => under.test(path))?.[1] ?? path
}
