/** Signing this phone in and out. */
import type { Me } from '../sync/views.ts'
import { t } from '../words/index.ts'
import { ask, NoAnswer, NotOurs, tell, type Fetch, type ServerError } from './server.ts'

function isMe(value: unknown): value is Me {
  const found = value as Partial<Me> | null
  return typeof found?.epoch === 'string' && typeof found.staff?.id === 'string' && typeof found.device?.id === 'string'
}

/**
 * Trade the token of a sign-in link for this phone's own session. `device` is its key from an
 * earlier sign-in, so that what still waits here is known to come from it. Throws ServerError.
 */
export function claim(fetcher: Fetch, token: string, deviceName: string, device: string | null): Promise<Me> {
  const remembered = device === null ? {} : { device }
  return ask(fetcher, '/api/access/claim', isMe, { token, device_name: deviceName, ...remembered })
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

/** What happened, what was kept, what to do. */
export function claimProblem(error: ServerError): string {
  if (error instanceof NoAnswer) return t('access.failed.offline')
  if (error instanceof NotOurs) return t('access.failed.notOurs')
  // The server's own sentence says whether the link is unknown, used or too old, and what to do.
  return t('access.failed.server', { detail: error.message })
}
