/**
 * Half-typed forms and this phone's own switches, kept through a reload. Nothing that counts lives
 * here: what is saved is in the records. A phone that keeps nothing (private browsing, storage
 * full) merely forgets them.
 */
export function kept<T>(key: string): T | undefined {
  try {
    const text = localStorage.getItem(key)
    return text === null ? undefined : (JSON.parse(text) as T)
  } catch (error) {
    if (error instanceof SyntaxError || error instanceof DOMException) return undefined
    throw error
  }
}

export function keep(key: string, value: unknown): void {
  try {
    localStorage.setItem(key, JSON.stringify(value))
  } catch (error) {
    if (!(error instanceof DOMException)) throw error
  }
}

export function drop(key: string): void {
  try {
    localStorage.removeItem(key)
  } catch (error) {
    if (!(error instanceof DOMException)) throw error
  }
}
