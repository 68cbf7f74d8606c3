/** What a browser keeps beside its databases, in memory. Only tests import this. */
export function trialStorage(held = new Map<string, string>()): Storage {
  return {
    getItem: (key) => held.get(key) ?? null,
    setItem: (key, value) => void held.set(key, value),
    removeItem: (key) => void held.delete(key),
    clear: () => held.clear(),
    key: (index) => [...held.keys()][index] ?? null,
    get length() {
      return held.size
    },
  }
}
