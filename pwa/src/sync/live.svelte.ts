/** An answer that is asked for again when something it depends on has changed. */
export class Live<T> {
  /** Undefined until the first answer; the last answer stays while the next is on its way. */
  value = $state.raw<T | undefined>(undefined)
  error = $state.raw<unknown>(undefined)

  /** Made while a component is: what `ask` reads before its first await is watched as well. */
  constructor(ask: () => Promise<T>, version: () => number) {
    $effect(() => {
      version()
      let stale = false
      ask().then(
        (value) => {
          if (stale) return
          this.value = value
          this.error = undefined
        },
        (error: unknown) => {
          if (!stale) this.error = error
        },
      )
      return () => (stale = true)
    })
  }
}
