/** The cases that Python wrote down and that both languages run. Only tests import this. */
import { readFileSync } from 'node:fs'
import type { Entry, WireRecord } from '../records/kinds.ts'
import type { PieceState } from './state.ts'

export interface ShortEntry {
  readonly at: number
  readonly id: string
  readonly kind: string
  readonly subject: { readonly kind: string; readonly id: string }
  readonly body: Record<string, unknown>
}

export interface FoldCase {
  readonly name: string
  readonly zone: string
  readonly piece: string
  readonly retracted: readonly string[]
  readonly entries: readonly ShortEntry[]
  readonly state: Partial<PieceState>
}

interface File {
  readonly envelope: Record<string, unknown>
  readonly cases: readonly FoldCase[]
}

/** A file under `fixtures/`. */
export function fixture<T>(name: string): T {
  const root = new URL('../../../fixtures/', import.meta.url)
  return JSON.parse(readFileSync(new URL(name, root), 'utf8')) as T
}

/** Whole entries out of the short ones of a file. */
export function whole(envelope: Record<string, unknown>, entries: readonly ShortEntry[]): Entry[] {
  return entries.map(({ at, ...own }) => ({ at, record: { ...envelope, ...own } as unknown as WireRecord }))
}

export function foldCases(name: string): (Omit<FoldCase, 'entries'> & { entries: Entry[] })[] {
  const { envelope, cases } = fixture<File>(name)
  return cases.map((one) => ({ ...one, entries: whole(envelope, one.entries) }))
}
