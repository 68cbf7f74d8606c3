import type { Sign } from '../kit/glyph.ts'

/** As much of a piece as a scan shows before its own screen opens. */
export interface PieceView {
  readonly id: string
  /** Eight characters, or null for a piece that lost its code to another. */
  readonly code: string | null
  readonly sign: Sign
  /** The piece's line and cut number, in words. */
  readonly name: string
  /** 'Tray 3, B4' in words; null where it stands nowhere. */
  readonly where: string | null
}

export interface TrayName {
  readonly id: string
  readonly name: string
}

/** What scanning asks of the records on this phone. It never waits for the network. */
export interface Lookup {
  byCode(code: string): Promise<PieceView | null>
  /** `place` as typed, upper case and without spaces. */
  byPlace(tray: string, place: string): Promise<PieceView | null>
  trays(): Promise<readonly TrayName[]>
}

let give: (lookup: Lookup) => void
const given = new Promise<Lookup>((resolve) => (give = resolve))

/** Called once, by the side that keeps the records, when the phone's own store can be read. */
export function provide(lookup: Lookup): void {
  give(lookup)
}

/** Scanning may start before the records can be read; whoever asks waits for them. */
export function lookup(): Promise<Lookup> {
  return given
}
