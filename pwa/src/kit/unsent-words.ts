/** What the sign of what is not sent says to who cannot see it. Pure. */
import { t } from '../words/index.ts'

export interface Counts {
  readonly unsent: number
  readonly photos: number
  /** Records and photos that the server would not take. */
  readonly refused: number
}

export function unsentWords({ unsent, photos, refused }: Counts): string {
  if (unsent + photos + refused === 0) return t('kit.allSent')
  return [
    ...(unsent ? [t('kit.unsent', { count: unsent })] : []),
    ...(photos ? [t('kit.photos', { count: photos })] : []),
    ...(refused ? [t('kit.refused', { count: refused })] : []),
  ].join('; ')
}
