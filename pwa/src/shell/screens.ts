import { moreWords } from '../words/index.ts'
import type { Screen } from './routes.ts'

// Matched at build time: a screen that is not in this version is simply not in the table.
const later = import.meta.glob<{ default: Screen }>(['/src/*/*Screen.svelte', '!/src/scan/**'])

export function has(screen: string): boolean {
  return `/src/${screen}.svelte` in later
}

/** Fetch a screen's own file, its words first; null where this version has no such screen. */
export async function load(screen: string): Promise<Screen | null> {
  const importer = later[`/src/${screen}.svelte`]
  if (!importer) return null
  await moreWords()
  return (await importer()).default
}
