/** What came while a check was under way. Pure. */
import type { PieceState } from '../stock/state.ts'
import { dayText } from '../stock/view.ts'
import { t } from '../words/index.ts'

interface Seen {
  readonly state: Pick<PieceState, 'loss' | 'exit'>
}

/**
 * What to say above a check of a piece that was `begun` and is now as it stands in `now`, null where
 * it is not on this phone for the moment; null where nothing is to be said.
 */
export function newsOf(begun: Seen, now: Seen | null | undefined): string | null {
  if (now === null) return t('check.news.absent')
  const { loss, exit } = now?.state ?? begun.state
  if (exit && !begun.state.exit) return t('check.news.exited', { day: dayText(exit.day) })
  if (loss && !begun.state.loss) return t('check.news.lost', { day: dayText(loss.by) })
  return null
}
