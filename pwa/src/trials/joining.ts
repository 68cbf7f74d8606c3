/** At the saw: the comparison a cut is made for. */
import type { Id, Key } from '../records/fields.ts'
import { phone } from '../sync/phone.svelte.ts'
import { t } from '../words/index.ts'
import { lots } from './lots.svelte.ts'
import { isOn, readTrial, trialsOf, type Trial } from './trial.ts'

/** Those that cuts may be made for today. */
export function openTrials(): Trial[] {
  return trialsOf(phone.items('trial')).filter((trial) => isOn(trial, phone.today()))
}

/** The chosen one; null where none is, or it has ended meanwhile. */
export function joined(chosen: Key | null): Trial | null {
  const trial = chosen === null ? null : readTrial(phone.item(chosen))
  return trial && isOn(trial, phone.today()) ? trial : null
}

/** Why the cut cannot begin yet; null where it can. */
export function notYet(trial: Trial | null, mother: Id): string | null {
  return trial?.varies === 'method' && !lots.isMarked(trial, mother) ? t('trials.join.showFirst') : null
}
