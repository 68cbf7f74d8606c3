/** Noticing that the other phone has used the code, and the code as a picture. Pure. */
import { encodeQR } from 'qr'
import type { Change } from './people.ts'

/** The phone that used the code. */
export interface NewPhone {
  readonly name: string
  readonly shared: boolean
}

/**
 * The phone that was paired since the entry `since` for this person (null: as a shared one). A phone
 * that was here before stands in the list already, so only the entry of its pairing tells.
 */
export function pairedSince(entries: readonly Change[], since: number, staff: string | null): NewPhone | null {
  const found = entries.find(
    ({ id, what, who, detail }) =>
      id > since && what === 'device-paired' && (staff === null ? detail['shared'] === true : detail['shared'] !== true && who === staff),
  )
  return found ? { name: String(found.detail['name'] ?? ''), shared: staff === null } : null
}

export interface QrDrawing {
  /** Modules from edge to edge, the quiet zone of four on each side included (ISO/IEC 18004). */
  readonly size: number
  /** Dark modules as one path in units of a module, runs of a row in one piece. */
  readonly path: string
}

/** The level that survives a smudged screen protector without making the modules much smaller. */
const LEVEL = 'medium'
const QUIET = 4

export function drawQr(text: string): QrDrawing {
  const rows = encodeQR(text, 'raw', { ecc: LEVEL, border: QUIET })
  const runs: string[] = []
  rows.forEach((row, y) => {
    for (let x = 0; x < row.length; x += 1) {
      if (!row[x]) continue
      const from = x
      while (row[x + 1]) x += 1
      runs.push(`M${from} ${y}h${x - from + 1}v1h-${x - from + 1}z`)
    }
  })
  return { size: rows.length, path: runs.join('') }
}
