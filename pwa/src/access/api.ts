/** Signing this phone in and out. */
import type { Paired } from '../sync/views.ts'
import { ask, tell, type Fetch } from './server.ts'

/** `staff` is null on a shared phone that nobody holds. */
export function isPaired(value: unknown): value is Paired {
  const found = value as Partial<Paired> | null
  const staff = found?.staff === null || typeof found?.staff?.id === 'string'
  return typeof found?.epoch === 'string' && staff && typeof found.device?.id === 'string'
}

/**
 * Trade the token of a sign-in link for this phone's own session. `device` is its key from an
 * earlier sign-in, so that what still waits here is known to come from it. Throws ServerError.
 */
export function claim(fetcher: Fetch, token: string, deviceName: string, device: string | null): Promise<Paired> {
  const remembered = device === null ? {} : { device }
  return ask(fetcher, '/api/access/claim', isPaired, { token, device_name: deviceName, ...remembered })
}

/** Sign an owner in by name and password. Throws ServerError. */
export function enter(
  fetcher: Fetch,
  who: { name: string; password: string },
  deviceName: string,
  device: string | null,
): Promise<Paired> {
  const remembered = device === null ? {} : { device }
  return ask(fetcher, '/api/access/enter', isPaired, { ...who, device_name: deviceName, ...remembered })
}

/** End this phone's session; what waits to be sent stays on the phone. Throws ServerError. */
export function leave(fetcher: Fetch): Promise<void> {
  return tell(fetcher, '/api/access/leave', {})
}

const TOKEN = /^[A-Za-z0-9._~-]{8,}$/

/** The token of a sign-in link or fragment, as opened or as pasted; null where there is none. */
export function tokenOf(text: string): string | null {
  const found = text.trim().split('#').at(-1) ?? ''
  return text.includes('#') && TOKEN.test(found) ? found : null
}

export interface ReadPairing {
  readonly token: string | null
  /** The host that the code leads to, where it is not this one. */
  readonly elsewhere: string | null
}

/**
 * What a code in front of the camera is: our own sign-in address, somebody else's, or none. What is
 * recorded here belongs to the address of this page, so a code for another is not followed from it.
 */
export function readPairing(text: string, origin: string): ReadPairing {
  if (!URL.canParse(text)) return { token: null, elsewhere: null }
  const address = new URL(text)
  const token = address.pathname === '/sign-in' ? tokenOf(address.hash) : null
  const ours = address.origin === origin
  return { token: ours ? token : null, elsewhere: token !== null && !ours ? address.host : null }
}
