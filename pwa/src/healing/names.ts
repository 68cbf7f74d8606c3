import { nameOf } from '../stock/lists.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'

/** What the farm's lists call an entry; undefined where this phone has not heard of it. */
export function nameOfKey(key: string): string | undefined {
  const item = phone.item(key)
  return item && nameOf(item)
}

/** 'Tray 3, B4'; null where it stands nowhere that is known. */
export function standsAt(tray: string | null, place: string | null): string | null {
  if (tray === null) return null
  const name = nameOfKey(tray) ?? tray
  return place === null ? t('piece.where.tray', { tray: name }) : t('piece.where.both', { tray: name, place })
}
