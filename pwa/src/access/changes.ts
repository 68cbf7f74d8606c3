/** What was changed among people and phones, as sentences. Pure. */
import { day, t } from '../words/index.ts'
import type { Change, Device, Member, Role } from './people.ts'

/** Names by key; undefined where the lists do not know it. */
export interface Names {
  readonly person: (id: string) => string | undefined
  readonly device: (id: string) => string | undefined
}

export function namesOf(people: readonly Member[], devices: readonly Device[]): Names {
  const persons = new Map(people.map((one) => [one.id, one.name]))
  const phones = new Map(devices.map((one) => [one.id, one.name]))
  return { person: (id) => persons.get(id), device: (id) => phones.get(id) }
}

const ROLES: readonly string[] = ['keeper', 'lead', 'owner'] satisfies Role[]
/** Entries whose sentence needs nobody but who did it and whom or what it is about. */
const PLAIN = [
  'person-revoked', 'person-restored', 'password-set', 'pin-locked', 'link-made', 'device-named',
  'device-revoked', 'held', 'released', 'signed-out', 'certificate-renewed',
] as const
const COUNTED = ['admitted', 'set-aside', 'taken-in'] as const
/** What is about a phone; all else is about a person. */
const OF_PHONES = new Set<string>([
  'device-paired', 'device-named', 'device-revoked', 'held', 'released', 'signed-out', ...COUNTED,
])

export function roleWord(role: unknown): string {
  return ROLES.includes(String(role)) ? t(`access.role.${role as Role}`) : String(role)
}

function oneOf<T extends string>(list: readonly T[], what: string): what is T {
  return (list as readonly string[]).includes(what)
}

/** One entry as a sentence. What the server tells that this version does not know is said so. */
export function sentence(change: Change, names: Names): string {
  const said = plainSentence(change, names)
  return said.charAt(0).toLocaleUpperCase() + said.slice(1)
}

function plainSentence(change: Change, names: Names): string {
  const { what, detail } = change
  const shared = detail['shared'] === true
  const who = change.who === null ? t('people.server') : (names.person(change.who) ?? t('people.somebody'))
  const about = aboutWords(change, names)
  if (oneOf(PLAIN, what)) return t(`changes.what.${what}`, { who, about })
  if (oneOf(COUNTED, what)) return t(`changes.what.${what}`, { who, about, count: countWords(detail) })
  switch (what) {
    case 'person-added':
      return t('changes.what.person-added', { who, about, role: roleWord(detail['role']) })
    case 'person-changed':
      return t('changes.what.person-changed', { who, about, how: howChanged(detail) })
    case 'pin-set':
      return t(change.who === change.about ? 'changes.what.pin-set-own' : 'changes.what.pin-set', { who, about })
    case 'pairing-made':
      return t(shared ? 'changes.what.pairing-made-shared' : 'changes.what.pairing-made', { who, about })
    case 'device-paired':
      return t(shared ? 'changes.what.device-paired-shared' : 'changes.what.device-paired', { who, about })
    case 'put-back':
      return putBack(detail)
    default:
      return t('changes.what.unknown', { what })
  }
}

function putBack({ made_at, still_out }: Change['detail']): string {
  const of = { day: typeof made_at === 'number' ? day(made_at) : t('changes.noDay') }
  return t(still_out === null ? 'changes.what.put-back' : 'changes.what.put-back-out', of)
}

/** The name as it is now, else as it was then. */
function aboutWords({ what, about, detail }: Change, names: Names): string {
  const phone = OF_PHONES.has(what)
  const now = about === null ? undefined : phone ? names.device(about) : names.person(about)
  const then = typeof detail['name'] === 'string' ? detail['name'] : undefined
  return now ?? then ?? t(phone ? 'people.phoneGone' : 'people.somebody')
}

function howChanged(detail: Change['detail']): string {
  const { name, role } = detail
  const said = [
    typeof name === 'string' ? t('changes.named', { name }) : null,
    typeof role === 'string' ? t('changes.ranked', { role: roleWord(role) }) : null,
  ].filter((one) => one !== null)
  return said.join(', ')
}

function countWords(detail: Change['detail']): string {
  const count = detail['count'] ?? detail['stored']
  return typeof count === 'number' ? t('changes.records', { count }) : t('changes.noCount')
}
