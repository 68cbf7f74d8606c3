/** Who is at this phone, or was until the server let it in no more, in sentences. Pure. */
import type { Paired, Paused } from '../sync/views.ts'
import { t } from '../words/index.ts'

export function whoIsHere({ staff, device }: Paired): string {
  if (!staff) return t('access.meNobody', { device: device.name })
  return t(device.shared ? 'access.meShared' : 'access.me', { name: staff.name, device: device.name })
}

/** The server no longer answers the pairing that this phone remembers. */
export function isOut(paused: Paused | null): boolean {
  return paused === 'signed-out' || paused === 'revoked'
}

export interface OutWords {
  readonly title: string
  readonly lines: readonly string[]
}

/** What is only on this phone besides unsent records: it does not go with what is handed over. */
export interface Rest {
  readonly photos: number
  readonly refused: number
}

const NO_REST: Rest = { photos: 0, refused: 0 }

/**
 * For a phone that the server answers no more: what became of what was recorded on it, and what to
 * do. `unsent` by author; `handedOver` where the server has said that it took records for a lead to
 * decide on, which it does for who was signed out for good. `rest` is not handed over: its way out
 * is a file.
 */
export function outWords(
  { device }: Paired,
  unsent: Readonly<Record<string, number>>,
  nameOf: (id: string) => string,
  handedOver: boolean,
  rest: Rest = NO_REST,
): OutWords {
  const waiting = Object.entries(unsent).filter(([, count]) => count > 0)
  const all = waiting.reduce((sum, [, count]) => sum + count, 0)
  if (handedOver) {
    const left = all > 0 ? t('access.out.revoked.unsent', { count: all }) : t('access.out.revoked.done')
    return {
      title: t('access.out.revoked.title'),
      lines: [t('access.out.revoked.body'), left, ...restWords('revoked', rest), t('access.out.revoked.next')],
    }
  }
  const kept = waiting.map(([id, count]) => t('access.out.over.unsent', { count, name: nameOf(id) }))
  const none = t(hasRest(rest) ? 'access.out.over.noRecord' : 'access.out.over.none')
  return {
    title: t('access.out.over.title', { device: device.name }),
    lines: [t('access.out.over.body'), ...(all === 0 ? [none] : kept), ...restWords('over', rest), t('access.out.over.next')],
  }
}

export function hasRest({ photos, refused }: Rest): boolean {
  return photos + refused > 0
}

function restWords(how: 'revoked' | 'over', rest: Rest): string[] {
  if (!hasRest(rest)) return []
  const photos = t('access.out.rest.photos', { count: rest.photos })
  const refused = t('access.out.rest.refused', { count: rest.refused })
  const both = rest.photos > 0 && rest.refused > 0 ? t('access.out.rest.both', { photos, refused }) : null
  return [t(`access.out.${how}.rest`, { what: both ?? (rest.photos > 0 ? photos : refused) })]
}
