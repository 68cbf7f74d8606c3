/**
 * A newer version waits until a person says so. Until then the old one's files stay on the phone and
 * answer for the old page; unsent records do not matter, since every version sends what older ones
 * made. Half-made entries do: nothing reloads while there is one, in any tab.
 */
import type { Workbox } from 'workbox-window'
import { drafts } from '../kit/drafts.svelte.ts'

/** Browsers look for a newer version only when a page is opened, and this one may stay open for days. */
const LOOK_AGAIN_MS = 60 * 60_000

class Updates {
  waiting = $state(false)
  /** Another tab holds something that is not saved. */
  elsewhere = $state(false)
  #worker: Workbox | null = null
  /** The new version has taken over, and this page is still of the old one. */
  #over = $state(false)

  async start(): Promise<void> {
    if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return
    const { Workbox } = await import('workbox-window')
    const worker = new Workbox('/sw.js', { scope: '/' })
    this.#worker = worker
    worker.addEventListener('waiting', () => (this.waiting = true))
    this.#followOver()
    await worker.register()
    this.#lookAgain(worker)
  }

  async accept(): Promise<void> {
    this.elsewhere = await drafts.anywhere()
    if (!this.elsewhere) this.#worker?.messageSkipWaiting()
  }

  later(): void {
    this.waiting = false
  }

  /** Whichever tab accepted it, the old files are gone for all: each reloads once nothing is half-made. */
  #followOver(): void {
    // On the very first visit a worker takes over too, and it is this page's own.
    let mine = navigator.serviceWorker.controller !== null
    navigator.serviceWorker.addEventListener('controllerchange', () => {
      if (mine) this.#over = true
      mine = true
    })
    $effect.root(() => {
      $effect(() => {
        if (this.#over && drafts.open === 0) location.reload()
      })
    })
  }

  #lookAgain(worker: Workbox): void {
    let looked = Date.now()
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState !== 'visible' || Date.now() - looked < LOOK_AGAIN_MS) return
      looked = Date.now()
      // Without a network there is nothing newer to be found.
      worker.update().catch(() => undefined)
    })
  }
}

export const updates = new Updates()
