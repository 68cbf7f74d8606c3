/** A newer version waits until the person says so: a half-made check must never be swept away. */
class Updates {
  waiting = $state(false)
  /** Open drafts on the screen; while there is one, nothing offers to reload the page. */
  drafts = $state(0)
  #accept: (() => void) | null = null

  async start(): Promise<void> {
    if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return
    const { Workbox } = await import('workbox-window')
    const worker = new Workbox('/sw.js', { scope: '/' })
    worker.addEventListener('waiting', () => {
      this.#accept = () => {
        worker.addEventListener('controlling', () => location.reload())
        worker.messageSkipWaiting()
      }
      this.waiting = true
    })
    await worker.register()
  }

  /** Called by a screen while it holds something typed and not saved. Returns the letting go. */
  hold(): () => void {
    this.drafts += 1
    return () => (this.drafts -= 1)
  }

  accept(): void {
    if (this.drafts === 0) this.#accept?.()
  }

  later(): void {
    this.waiting = false
  }
}

export const updates = new Updates()
