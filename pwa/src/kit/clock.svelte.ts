/** Now, as sentences such as '3 min ago' need it: read in a component, it is new every half minute. */
import { createSubscriber } from 'svelte/reactivity'

const EVERY_MS = 30_000

const ticking = createSubscriber((update) => {
  const timer = setInterval(update, EVERY_MS)
  return () => clearInterval(timer)
})

export const clock = {
  /** In milliseconds. */
  get now(): number {
    ticking()
    return Date.now()
  },
}
