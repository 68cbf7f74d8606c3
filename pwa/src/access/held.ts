/** What is held for a lead, in words. Pure. */
import { day, t } from '../words/index.ts'
import type { Admitted, Group, Quarantine } from './people.ts'

const KINDS = [
  'arrival', 'cut', 'glue', 'cut_end', 'bind', 'check', 'ready', 'loss', 'exit', 'move', 'purpose',
  'care', 'water', 'photo', 'note', 'define', 'retract',
] as const
const isKind = (kind: string): kind is (typeof KINDS)[number] => (KINDS as readonly string[]).includes(kind)

/** '12 checks, 1 move', most first; kinds of a newer version are put together at the end. */
export function kindWords(kinds: Group['kinds']): string {
  const told = Object.entries(kinds).sort(([a, m], [b, n]) => n - m || (a < b ? -1 : 1))
  const words = told.flatMap(([kind, count]) => (isKind(kind) ? [t(`held.kind.${kind}`, { count })] : []))
  const other = told.reduce((sum, [kind, count]) => sum + (isKind(kind) ? 0 : count), 0)
  return [...words, ...(other ? [t('held.kind.other', { count: other })] : [])].join(', ')
}

export function personOf(group: Group): string {
  return group.staff_name ?? t('people.somebody')
}

/** Whose they are and from where, as a group's own name. */
export function groupName(group: Group): string {
  return t('held.from', { person: personOf(group), phone: group.device_name ?? t('people.phoneGone') })
}

/** The days they were made on, as one day or from the first to the last. */
export function daysOf({ first_at, last_at }: Group): string {
  const [first, last] = [day(first_at), day(last_at)]
  return first === last ? first : t('held.days', { first, last })
}

/** What became of an admitted group, with the parts only where they differ from the whole. */
export function admittedWords({ stored, duplicate, later, refused }: Admitted): string {
  const count = stored + duplicate
  const plain = t('held.admitted', { count })
  return later + refused === 0 ? plain : `${plain} ${t('held.some', { stored, duplicate, later, refused })}`
}

export function waitingIn({ groups }: Quarantine): number {
  return groups.reduce((sum, group) => sum + group.count, 0)
}
