/** The time, again every second, for what counts down on a screen. Made while a component is. */
export class Ticker {
  now = $state(Date.now())

  constructor() {
    $effect(() => {
      const timer = setInterval(() => (this.now = Date.now()), 1000)
      return () => clearInterval(timer)
    })
  }
}
