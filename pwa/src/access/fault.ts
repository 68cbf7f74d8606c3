/** What keeps a screen from what it asked for: the server, or this phone's own storage. Pure. */
import { PhoneError } from '../sync/errors.ts'
import { ServerError } from './server.ts'

export type Fault = ServerError | PhoneError

/** Anything else is a mistake of the program's, and is not explained away. */
export function isFault(error: unknown): error is Fault {
  return error instanceof ServerError || error instanceof PhoneError
}
