/** The browser's own history and nothing more: one path, drawn again when it changes. */
class Router {
  path = $state('/')
  query = $state('')

  /** Follow the address bar and links on this page from now on. Returns the undoing. */
  start(): () => void {
    this.#read()
    const back = () => this.#read()
    const link = (event: MouseEvent) => this.#link(event)
    window.addEventListener('popstate', back)
    document.addEventListener('click', link)
    return () => {
      window.removeEventListener('popstate', back)
      document.removeEventListener('click', link)
    }
  }

  /** Go to a path such as `/piece/…?x=1`; `replace` leaves no step to come back to. */
  go(to: string, { replace = false }: { replace?: boolean } = {}): void {
    if (replace) history.replaceState(null, '', to)
    else history.pushState(null, '', to)
    this.#read()
    window.scrollTo(0, 0)
  }

  back(): void {
    if (history.length > 1) history.back()
    else this.go('/scan', { replace: true })
  }

  #read(): void {
    this.path = location.pathname
    this.query = location.search
  }

  #link(event: MouseEvent): void {
    const plain = event.button === 0 && !event.metaKey && !event.ctrlKey && !event.shiftKey && !event.altKey
    const anchor = (event.target as Element | null)?.closest?.('a')
    if (!anchor || event.defaultPrevented || !plain) return
    if (anchor.origin !== location.origin || anchor.target || anchor.hasAttribute('download')) return
    // Anything under /api is the server's own page or file.
    if (anchor.pathname.startsWith('/api/') || anchor.hash) return
    event.preventDefault()
    this.go(anchor.pathname + anchor.search)
  }
}

export const router = new Router()
