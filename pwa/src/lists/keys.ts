/** Keys for new entries. Pure. */
import type { ListName } from '../records/fields.ts'

/**
 * A key for a new entry, 'tray.north-3'; a number is put behind it where it is taken. Names in other
 * scripts leave nothing over and get a number alone.
 */
export function keyFor(list: ListName, name: string, taken: (key: string) => boolean): string {
  const slug = name
    .normalize('NFKD')
    .toLowerCase()
    .replace(/\p{M}/gu, '')
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40)
    .replace(/-+$/, '')
  const plain = `${list}.${slug || '1'}`
  let key = plain
  for (let next = 2; taken(key); next += 1) key = slug ? `${plain}-${next}` : `${list}.${next}`
  return key
}
