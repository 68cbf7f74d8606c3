import { drafts } from '../kit/drafts.svelte.ts'

/**
 * Hold back a newer version of the app while `typed` says that something here is not saved. Called
 * while a component is made; a sheet does this by itself.
 */
export function holdWhile(typed: () => boolean): void {
  // Derived, so that it is let go of and held anew only as the answer changes, not at every letter.
  const half = $derived(typed())
  $effect(() => (half ? drafts.hold() : undefined))
}
