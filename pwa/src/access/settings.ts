/** What may stand in the farm's settings. Pure. */
export const SETTINGS = 'settings'

// A label has room for an address of 28 characters at its largest usual size.
const HOST_MOST = 28
const HOST = /^(?=.{1,28}$)[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*(:[0-9]{2,5})?$/

/** The host as it is printed, lower case; null where it is none. */
export function readHost(text: string): string | null {
  const plain = text.trim().toLowerCase()
  return plain.length <= HOST_MOST && HOST.test(plain) ? plain : null
}
