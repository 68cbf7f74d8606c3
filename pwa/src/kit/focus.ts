/** Where the focus goes when what had it is gone: it must not fall back to the top of the page. */

/** To the screen, without scrolling it. */
export function focusMain(): void {
  document.querySelector('main')?.focus({ preventScroll: true })
}

/** To what had it before, or to the screen where that is gone too. */
export function focusBack(to: Element | null): void {
  if (to instanceof HTMLElement && to.isConnected) to.focus({ preventScroll: true })
  if (isNowhere()) focusMain()
}

export function isNowhere(): boolean {
  return document.activeElement === null || document.activeElement === document.body
}
