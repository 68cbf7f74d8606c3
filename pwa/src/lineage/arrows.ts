/**
 * Arrow keys within nested lists of what opens, beside Tab: up and down to the next, right opens,
 * left closes or goes up to the one it lies in. As in the W3C's disclosure pattern the lists stay
 * plain lists and buttons: a screen reader's own keys work on them, on phones too, and the links in
 * them stay links, which the items of an ARIA tree may not be.
 */
const TOGGLES = 'button[aria-expanded]'

export function arrows(event: KeyboardEvent & { currentTarget: HTMLElement }): void {
  const on = (event.target as Element).closest<HTMLElement>(TOGGLES)
  if (!on || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return
  const all = [...event.currentTarget.querySelectorAll<HTMLElement>(TOGGLES)]
  const at = all.indexOf(on)
  const open = on.getAttribute('aria-expanded') === 'true'
  const moves: Readonly<Record<string, () => HTMLElement | null | undefined>> = {
    ArrowDown: () => all[at + 1],
    ArrowUp: () => all[at - 1],
    Home: () => all[0],
    End: () => all.at(-1),
    ArrowRight: () => (open ? all[at + 1] : press(on)),
    ArrowLeft: () => (open ? press(on) : within(on)),
  }
  const move = moves[event.key]
  if (!move) return
  event.preventDefault()
  move()?.focus()
}

function press(toggle: HTMLElement): null {
  toggle.click()
  return null
}

/** What opens the list that this one stands in. */
function within(toggle: HTMLElement): HTMLElement | null {
  const item = toggle.closest('li')?.parentElement?.closest('li')
  return item?.querySelector<HTMLElement>(TOGGLES) ?? null
}
