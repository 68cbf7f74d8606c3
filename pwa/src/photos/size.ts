import { number, t } from '../words/index.ts'

/** '640 kB', '4.2 MB': thousands, as phones and networks count. */
export function sizeText(bytes: number): string {
  if (bytes < 1_000_000) return t('photos.size.kb', { size: number(Math.ceil(bytes / 1000)) })
  return t('photos.size.mb', { size: number(bytes / 1_000_000, { maximumFractionDigits: 1 }) })
}
