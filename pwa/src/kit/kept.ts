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

/** Everything, for a phone that is cleared: a half-typed form tells of the farm too. */
export function dropAll(): void {
  try {
    localStorage.clear()
  } catch (error) {
    if (!(error instanceof DOMException)) throw error
  }
}

/** A half-made form and who made it: a shared phone goes on from hand to hand. */
interface Owned<T> {
  /** Null where nobody was known to hold the phone. */
  readonly staff: string | null
  readonly form: T
}

/** Whether what one person left may be put before another; what is nobody's is the next one's. */
export function mayHave(staff: string | null, asks: string | null): boolean {
  return staff === null || staff === asks
}

export function keepFor(staff: string | null, key: string, form: unknown): void {
  keep(key, { staff, form } satisfies Owned<unknown>)
}

/** What they left themselves; what somebody else left is dropped. */
export function keptFor<T>(staff: string | null, key: string): T | undefined {
  const found = kept<Partial<Owned<T>> | null>(key)
  if (found?.staff !== undefined && mayHave(found.staff, staff)) return found.form
  // While nobody is known to be here, who left it may still come back.
  if (staff !== null) drop(key)
  return undefined
}
