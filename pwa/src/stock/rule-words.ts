/** A rule that proposes readiness, and what is missing of it, in words. Pure. */
import { t } from '../words/index.ts'
import type { Missing, Proposal, Rule } from './rule.ts'
import type { GrowthForm } from './view.ts'
import type { Encrustation, Sign } from '../records/fields.ts'

/** 'mouth open, half covered, no recession, twice in a row'; says so where nothing is proposed. */
export function ruleText(rule: Rule | null, form: GrowthForm): string {
  if (rule === null) return t('setup.lists.rule.none')
  const { mouth, encrustation, recession, signs, checks } = rule
  const words: string[] = []
  if (mouth !== null && mouth !== 'none') words.push(t(`setup.lists.rule.mouth.${mouth}`))
  if (encrustation) words.push(t(`setup.lists.rule.${form === 'branching' ? 'face' : 'base'}.e${encrustation}`))
  if (recession !== null && recession !== 'more') words.push(t(`setup.lists.rule.recession.${recession}`))
  if (signs.length > 0) words.push(t('setup.lists.rule.signs', { signs: signsText(signs) }))
  words.push(timesText(checks))
  return words.join(', ')
}

/** 'algae, brown jelly'. */
export function signsText(signs: readonly string[]): string {
  return signs.map((sign) => t(`check.signs.${sign as Sign}`).toLowerCase()).join(', ')
}

function timesText(checks: number): string {
  if (checks === 1) return t('setup.lists.rule.once')
  return checks === 2 ? t('setup.lists.rule.twice') : t('setup.lists.rule.times', { count: checks })
}

/** 'encrustation most; asked: all', 'first of 2 checks in a row'. */
export function missingText(missing: Missing, form: GrowthForm): string {
  switch (missing.what) {
    case 'checks':
      return t('setup.lists.far.noChecks')
    case 'run':
      return missing.run === 1
        ? t('setup.lists.far.first', { checks: missing.checks })
        : t('setup.lists.far.run', { run: missing.run, checks: missing.checks })
    case 'sign':
      return t('setup.lists.far.sign', { sign: signsText([missing.sign]) })
    case 'mouth':
      return mouthText(missing)
    case 'encrustation': {
      const part = t(form === 'branching' ? 'setup.lists.far.face' : 'setup.lists.far.base')
      return short(part, missing.seen === null ? null : step(missing.seen), step(missing.asked))
    }
    case 'recession': {
      const word = (one: typeof missing.asked) => t(`check.recession.${one}`).toLowerCase()
      return short(t('setup.lists.far.recession'), missing.seen && word(missing.seen), t('setup.lists.far.atMost', { word: word(missing.asked) }))
    }
  }
}

function mouthText({ seen, asked }: Extract<Missing, { what: 'mouth' }>): string {
  if (asked === 'feeding' && seen === 'open') return t('setup.lists.far.byDay')
  const word = (one: typeof asked) => t(`check.mouth.single.${one}`).toLowerCase()
  return short(t('setup.lists.far.mouth'), seen && word(seen), word(asked))
}

const step = (encrustation: Encrustation) => t(`check.encrustation.e${encrustation}`).toLowerCase()

function short(part: string, seen: string | null, asked: string): string {
  return seen === null ? t('setup.lists.far.unseen', { part, asked }) : t('setup.lists.far.short', { part, seen, asked })
}

export function missingWords({ missing }: Pick<Proposal, 'missing'>, form: GrowthForm): string {
  return missing.map((one) => missingText(one, form)).join('; ')
}
