/** Whether the app stands on the home screen, and how this browser puts it there. */

export type Way =
  | 'installed'
  | 'offered' // the browser does it when asked
  | 'share' // by hand, in the sheet behind the share sign; that app's storage is apart from the browser's
  | 'menu' // by hand, in the browser's menu; the storage is the same
  | 'unsafe' // the address is not protected, so no browser will
  | 'none' // a computer's browser that does not offer it

/** What is looked at; a browser's own `window`, or a test's. */
export interface Surroundings {
  readonly isSecureContext: boolean
  readonly matchMedia: (query: string) => { readonly matches: boolean }
  readonly navigator: { readonly standalone?: boolean; readonly maxTouchPoints?: number }
}

const ALONE = ['standalone', 'fullscreen', 'minimal-ui']

export function wayIn(place: Surroundings, offered: boolean): Way {
  const { navigator } = place
  const alone = ALONE.some((mode) => place.matchMedia(`(display-mode: ${mode})`).matches)
  if (navigator.standalone === true || alone) return 'installed'
  if (!place.isSecureContext) return 'unsafe'
  if (offered) return 'offered'
  if ((navigator.maxTouchPoints ?? 0) === 0) return 'none'
  // Only browsers whose home-screen apps are made in the share sheet have this field at all.
  return navigator.standalone === undefined ? 'menu' : 'share'
}

interface Offer extends Event {
  prompt(): Promise<unknown>
}

/** The browser's own offer, which comes once and has to be caught when it does. */
export class Offers {
  #offer: Offer | null = null

  get open(): boolean {
    return this.#offer !== null
  }

  /** Catch it from now on; `changed` is called whenever there is one or none any more. */
  watch(target: EventTarget, changed: () => void): void {
    target.addEventListener('beforeinstallprompt', (event) => {
      event.preventDefault()
      this.#offer = event as Offer
      changed()
    })
    target.addEventListener('appinstalled', () => {
      this.#offer = null
      changed()
    })
  }

  /** Let the browser ask; an offer is good for one question. */
  async take(): Promise<void> {
    const offer = this.#offer
    this.#offer = null
    await offer?.prompt()
  }
}
