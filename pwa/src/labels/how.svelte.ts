/** On what and by which printer: the choices that every print shares, kept for the next one. */
import { keep, kept } from '../kit/kept.ts'
import { number, t } from '../words/index.ts'
import type { Geometry, How, Words } from './print.ts'

export const SIZES = [8, 10, 12, 15, 20] as const
const KEPT = 'labels.how'

interface Last {
  readonly sheets?: Partial<Record<Words, string>>
  readonly printer?: string
}

export class Choices {
  readonly sheets: readonly Geometry[]
  id = $state('')
  size = $state('')
  printer = $state('')
  start = $state(1)
  #words: Words = 'code'

  constructor(sheets: readonly Geometry[], words: Words = 'code') {
    this.sheets = sheets.filter((one) => !one.problem)
    this.printer = kept<Last>(KEPT)?.printer ?? ''
    this.begin(words)
  }

  /** Names want the largest labels, codes the usual ones; else what was chosen the last time. */
  begin(words: Words): void {
    this.#words = words
    const last = kept<Last>(KEPT)?.sheets?.[words]
    this.pick(this.sheets.some((one) => one.id === last) ? (last ?? '') : this.#usual(words))
  }

  #usual(words: Words): string {
    const usual = this.sheets.find((one) => one.is_default) ?? this.sheets[0]
    if (words !== 'name') return usual?.id ?? ''
    const same = this.sheets.filter((one) => one.page === usual?.page)
    const area = (one: Geometry) => one.label_width * one.label_height
    return same.reduce((best, one) => (area(one) > area(best) ? one : best), same[0] ?? this.sheets[0]!)?.id ?? ''
  }

  get sheet(): Geometry | undefined {
    return this.sheets.find((one) => one.id === this.id)
  }

  get positions(): number {
    return this.sheet ? this.sheet.columns * this.sheet.rows : 1
  }

  /** The width of the largest symbol that might fit. */
  get largest(): number {
    return this.sheet ? Math.min(this.sheet.label_width, this.sheet.label_height) : 0
  }

  pick(id: string): void {
    this.id = id
    this.start = this.sheet?.next_start ?? 1
    if (this.size !== '' && Number(this.size) > this.largest) this.size = ''
  }

  get how(): How {
    const size = this.size === '' ? null : Number(this.size)
    return { geometry: this.id, start: this.start, size_mm: size, printer: this.printer === '' ? null : this.printer }
  }

  /** What was printed on is offered first the next time, from where this print ends. */
  remember(count: number): void {
    const before = kept<Last>(KEPT)
    keep(KEPT, { sheets: { ...before?.sheets, [this.#words]: this.id }, printer: this.printer } satisfies Last)
    this.start = ((this.start - 1 + count) % this.positions) + 1
  }
}

export function sheetName(one: Geometry): string {
  if (one.own) return one.name ?? one.id
  const [width, height] = [number(one.label_width), number(one.label_height)]
  return t('labels.sheetName', { page: one.page, width, height, columns: one.columns, rows: one.rows })
}
