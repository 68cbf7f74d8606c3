import { focusMain, isNowhere } from './focus.ts'

/**
 * Some screens go on in steps at one address. A step with a heading of its own is a new screen to
 * whoever uses it: where the focus went with what was there before, it is taken to the beginning,
 * and so is the picture. Where a single thing that had the focus goes, the screen has it, and
 * nothing is scrolled. Returns the undoing.
 */
export function followSteps(main: HTMLElement): () => void {
  const heading = () => main.querySelector('h1')
  let before = heading()
  let last: EventTarget | null = null
  const note = ({ target }: FocusEvent) => (last = target)
  const watch = new MutationObserver(() => {
    const now = heading()
    const stepped = now !== before && before !== null && now !== null
    const vanished = last instanceof Node && !last.isConnected
    before = now
    if (vanished) last = null
    if ((!stepped && !vanished) || !isNowhere()) return
    focusMain()
    if (stepped) window.scrollTo(0, 0)
  })
  watch.observe(main, { childList: true, subtree: true })
  main.addEventListener('focusin', note)
  return () => {
    watch.disconnect()
    main.removeEventListener('focusin', note)
  }
}
