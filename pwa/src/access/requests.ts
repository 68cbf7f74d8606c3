/** What is asked of the server about people, phones and what is held. Each throws ServerError. */
import type { Paired } from '../sync/views.ts'
import { isPaired } from './api.ts'
import type {
  Admitted, Changes, CrewMember, Device, GroupKey, Member, Pairing, Quarantine, Reach, Role,
} from './people.ts'
import { ask, tell, type Fetch } from './server.ts'

type Fields = Readonly<Record<string, unknown>>

function fieldsOf(value: unknown): Fields {
  return typeof value === 'object' && value !== null ? (value as Fields) : {}
}

/** Recognises our own answer by its epoch and the lists it must hold. */
function holding<T>(...lists: readonly (keyof T & string)[]): (value: unknown) => value is T {
  return (value): value is T => {
    const found = fieldsOf(value)
    return typeof found['epoch'] === 'string' && lists.every((name) => Array.isArray(found[name]))
  }
}

function isMember(value: unknown): value is Member {
  const found = fieldsOf(value)
  return typeof found['id'] === 'string' && typeof found['role'] === 'string'
}

function isDevice(value: unknown): value is Device {
  const found = fieldsOf(value)
  return typeof found['id'] === 'string' && typeof found['shared'] === 'boolean'
}

function isPairing(value: unknown): value is Pairing {
  const found = fieldsOf(value)
  return typeof found['address'] === 'string' && typeof found['expires_at'] === 'number'
}

const at = (list: string, id: string, what: string) => `/api/${list}/${encodeURIComponent(id)}/${what}`

export async function fetchCrew(fetcher: Fetch): Promise<readonly CrewMember[]> {
  return (await ask(fetcher, '/api/access/crew', holding<{ crew: readonly CrewMember[] }>('crew'))).crew
}

/** Take a shared phone in hand. A Declined says `wrong-pin`, `pin-locked` or `no-pin`. */
export function hold(fetcher: Fetch, staff: string, pin: string): Promise<Paired> {
  return ask(fetcher, '/api/access/hold', isPaired, { staff, pin })
}

/** Lay a shared phone down: it stays paired, and nobody holds it. */
export function release(fetcher: Fetch): Promise<void> {
  return tell(fetcher, '/api/access/release', {})
}

export function setOwnPin(fetcher: Fetch, pin: string, old: string): Promise<void> {
  return tell(fetcher, '/api/access/pin', { pin, ...(old && { old }) })
}

export function setOwnPassword(fetcher: Fetch, password: string, old: string): Promise<void> {
  return tell(fetcher, '/api/access/password', { password, ...(old && { old }) })
}

export async function fetchPeople(fetcher: Fetch): Promise<readonly Member[]> {
  return (await ask(fetcher, '/api/people', holding<{ people: readonly Member[] }>('people'))).people
}

export function addPerson(fetcher: Fetch, name: string, role: Role, pin: string): Promise<Member> {
  return ask(fetcher, '/api/people', isMember, { name, role, ...(pin && { pin }) })
}

export function changePerson(fetcher: Fetch, id: string, to: { name?: string; role?: Role }): Promise<Member> {
  return ask(fetcher, at('people', id, 'change'), isMember, to)
}

export function setPin(fetcher: Fetch, id: string, pin: string): Promise<void> {
  return tell(fetcher, at('people', id, 'pin'), { pin })
}

export function revokePerson(fetcher: Fetch, id: string): Promise<Member> {
  return ask(fetcher, at('people', id, 'revoke'), isMember, {})
}

export function restorePerson(fetcher: Fetch, id: string): Promise<Member> {
  return ask(fetcher, at('people', id, 'restore'), isMember, {})
}

export async function fetchDevices(fetcher: Fetch): Promise<readonly Device[]> {
  return (await ask(fetcher, '/api/devices', holding<{ devices: readonly Device[] }>('devices'))).devices
}

/** A new pairing code; `staff` null pairs a shared phone. */
export function pair(fetcher: Fetch, staff: string | null): Promise<Pairing> {
  return ask(fetcher, '/api/devices/pair', isPairing, { staff })
}

export function renameDevice(fetcher: Fetch, id: string, name: string): Promise<Device> {
  return ask(fetcher, at('devices', id, 'change'), isDevice, { name })
}

export function revokeDevice(fetcher: Fetch, id: string): Promise<Device> {
  return ask(fetcher, at('devices', id, 'revoke'), isDevice, {})
}

export function fetchReach(fetcher: Fetch): Promise<Reach> {
  return ask(fetcher, '/api/access/reach', holding<Reach>('addresses', 'warnings'))
}

export function fetchHeld(fetcher: Fetch): Promise<Quarantine> {
  return ask(fetcher, '/api/quarantine', holding<Quarantine>('groups', 'refused'))
}

export function admit(fetcher: Fetch, { device, staff, why }: GroupKey): Promise<Admitted> {
  return ask(fetcher, '/api/quarantine/admit', holding<Admitted>(), { device, staff, why })
}

export async function setAside(fetcher: Fetch, { device, staff, why }: GroupKey): Promise<number> {
  return (await ask(fetcher, '/api/quarantine/set-aside', holding<{ count: number }>(), { device, staff, why })).count
}

/** What was changed, newest first; with `before` what came before that entry. */
export function fetchChanges(fetcher: Fetch, before: number | null): Promise<Changes> {
  const from = before === null ? '' : `&before=${before}`
  return ask(fetcher, `/api/audit?limit=50${from}`, holding<Changes>('entries'))
}
