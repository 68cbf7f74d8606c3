/**
 * Some screens go on in steps at one address. A step with a heading of its own is a new screen to
 * whoever uses it: where the focus went with what was there before, it is taken to the beginning,
 * and so is the picture. Returns the undoing.
 */
export function followSteps(main: HTMLElement): () => void {
  const heading = () => main.querySelector('h1')
  let before = heading()
  const watch = new MutationObserver(() => {
    const now = heading()
    if (now === before) return
    const lost = before !== null && now !== null && document.activeElement === document.body
    before = now
    if (!lost) return
    main.focus({ preventScroll: true })
    window.scrollTo(0, 0)
  })
  watch.observe(main, { childList: true, subtree: true })
  return () => watch.disconnect()
}
