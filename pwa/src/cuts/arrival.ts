/** What is typed of a mother that arrives, and the records it makes. Pure. */
import { parse } from '../label/code.ts'
import type { SourceCode } from '../records/fields.ts'
import type { BodyOf } from '../records/kinds.ts'
import { mapOf, readPlace, within, writePlace } from '../stock/places.ts'
import { itemName, type Find } from '../stock/view.ts'
import { t } from '../words/index.ts'
import { readWhole } from './numbers.ts'

export interface ArrivalDraft {
  species: string | null
  line: string
  origin: 'wild' | 'farmed' | 'unknown'
  number: string
  documents: string
  mouths: string
  size: string
  code: string
  tray: string | null
  place: string
  tank: string | null
  quarantine: string
  from: string
  /** As a date field gives it, '2026-03-01'. */
  on: string
  document: string
  source: SourceCode | null
}

export const BLANK: ArrivalDraft = {
  species: null, line: '', origin: 'unknown', number: '', documents: '', mouths: '', size: '', code: '',
  tray: null, place: '', tank: null, quarantine: '', from: '', on: '', document: '', source: null,
}

export type Read =
  | { readonly ok: true; readonly arrival: BodyOf<'arrival'>; readonly move: BodyOf<'move'> | null }
  | { readonly ok: false; readonly why: string }

const no = (why: string): Read => ({ ok: false, why })

function moveOf({ tray, place, tank }: ArrivalDraft, find: Find): BodyOf<'move'> | null | string {
  if (tray === null) return tank === null ? null : { tank }
  if (place.trim() === '') return { tray }
  const spot = readPlace(place)
  const map = mapOf(find(tray))
  if (spot === null) return t('check.move.badPlace')
  if (!within(spot, map) && map) return t('check.move.outside', { tray: itemName(tray, find), last: writePlace(map) })
  return { tray, place: writePlace(spot) }
}

/** What its papers say, as typed. */
function provenance({ from, on, document, source }: ArrivalDraft): Partial<BodyOf<'arrival'>> {
  return {
    ...(from.trim() && { came_from: from.trim() }),
    ...(on && { came_on: on }),
    ...(document.trim() && { document: document.trim() }),
    ...(source && { source_code: source }),
  }
}

/** The records of it, or the sentence that says what is wrong. `today` is a local date. */
export function readArrival(draft: ArrivalDraft, find: Find, today: string): Read {
  const line = draft.line.trim()
  if (draft.species === null || line === '') return no(t('cuts.arrival.need'))
  // A wild colony counts as the farm has set; a typed number would only contradict it.
  const cut_number = draft.origin === 'wild' ? undefined : readWhole(draft.number, 0, 9999)
  const mouths = readWhole(draft.mouths, 0, 9999)
  const size_mm = readWhole(draft.size, 1, 2000)
  const code = draft.code.trim() === '' ? null : parse(draft.code)
  const quarantine_days = readWhole(draft.quarantine, 0, 9999)
  const move = moveOf(draft, find)
  if (cut_number === null) return no(t('cuts.arrival.numberBad'))
  if (mouths === null) return no(t('cuts.arrival.mouthsBad'))
  if (size_mm === null) return no(t('cuts.arrival.sizeBad'))
  if (quarantine_days === null) return no(t('cuts.arrival.quarantineBad'))
  if (draft.on > today) return no(t('cuts.arrival.notYet'))
  if (code?.ok === false) return no(t('cuts.arrival.codeBad'))
  if (typeof move === 'string') return no(move)
  const documents = draft.documents.split('\n').map((text) => text.trim()).filter(Boolean).slice(0, 20)
  const arrival = {
    line, species: draft.species, origin: draft.origin,
    ...(documents.length > 0 && { documents }),
    ...(cut_number !== undefined && { cut_number }),
    ...(mouths !== undefined && { mouths }),
    ...(size_mm !== undefined && { size_mm }),
    ...(code?.ok && { code: code.code }),
    ...(quarantine_days && { quarantine_days }),
    ...provenance(draft),
  }
  return { ok: true, arrival, move }
}
