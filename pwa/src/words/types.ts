/** Plural words: `other` always, the rest as the language needs them. */
export interface Plural {
  readonly zero?: string
  readonly one?: string
  readonly two?: string
  readonly few?: string
  readonly many?: string
  readonly other: string
}

type Form = keyof Plural

/** Plural words, and not merely a group that happens to have an entry called `other`. */
type IsPlural<T> = T extends Plural ? ([Exclude<keyof T, Form>] extends [never] ? true : false) : false

/** Every dotted path that ends in words. */
export type Leaves<T> = {
  [K in keyof T & string]: T[K] extends string
    ? K
    : IsPlural<T[K]> extends true
      ? K
      : `${K}.${Leaves<T[K]>}`
}[keyof T & string]

export type At<T, P extends string> = P extends `${infer Head}.${infer Rest}`
  ? Head extends keyof T
    ? At<T[Head], Rest>
    : never
  : P extends keyof T
    ? T[P]
    : never

type Names<S> = S extends `${string}{${infer Name}}${infer Rest}` ? Name | Names<Rest> : never

/** The names in braces that a piece of words asks for; plural words also ask for `count`. */
export type Asked<L> = L extends string
  ? Names<L>
  : IsPlural<L> extends true
    ? Names<L[keyof L & string]> | 'count'
    : never

/** The shape a second language has to fill: the same keys, other words. */
export type Catalogue<T> = {
  readonly [K in keyof T]: T[K] extends string
    ? string
    : IsPlural<T[K]> extends true
      ? Plural
      : Catalogue<T[K]>
}
