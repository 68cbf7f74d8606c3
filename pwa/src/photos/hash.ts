/** What photos are named by. */

/** Makes a picture's SHA-256 in small hexadecimal digits. */
export type Hash = (bytes: BufferSource) => Promise<string>

/** Null on a page that did not come by HTTPS: browsers withhold there what it takes. */
export function sha256(): Hash | null {
  const subtle = crypto.subtle as SubtleCrypto | undefined
  if (!subtle) return null
  return async (bytes) => {
    const hash = new Uint8Array(await subtle.digest('SHA-256', bytes))
    return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('')
  }
}
