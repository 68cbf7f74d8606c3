/** Who may change whom, and what a form for a person wants. Pure. */
import { t } from '../words/index.ts'
import type { Member, Role } from './people.ts'
import { weakness } from './pin.ts'

export const ROLES: readonly Role[] = ['keeper', 'lead', 'owner']
const MOST = 120

/** Whether somebody in this role looks after people, phones and what is held. */
export function leads(role: Role | undefined): boolean {
  return role === 'lead' || role === 'owner'
}

/** Keepers are a lead's affair, everybody else an owner's. */
export function mayChange(mine: Role | undefined, theirs: Role): boolean {
  return mine === 'owner' || (mine === 'lead' && theirs === 'keeper')
}

/** The roles that somebody in this one may give. */
export function mayGive(mine: Role | undefined): readonly Role[] {
  return ROLES.filter((role) => mayChange(mine, role))
}

/** The same as answers to choose from. */
export function roleChoices(mine: Role | undefined): { value: Role; word: string }[] {
  return mayGive(mine).map((value) => {
    const word = t(`access.role.${value}`)
    return { value, word: word.charAt(0).toLocaleUpperCase() + word.slice(1) }
  })
}

/** Whether a change of rights signs somebody out, so that only they themselves come back in. */
export function isRaised(before: Role, now: Role): boolean {
  return ROLES.indexOf(now) > ROLES.indexOf(before)
}

/** What is not seen, such as signs that turn the direction of writing: names that look alike would differ. */
const INVISIBLE = /[\p{Cc}\u00ad\u034f\u061c\u115f\u1160\u180b-\u180f\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0]/u
const SPOKEN = /[\p{L}\p{N}]/u

/** What is wrong with a name, for the person named `id` or a new one; null where nothing is. */
export function nameProblem(typed: string, people: readonly Member[], id: string | null): string | null {
  const name = typed.trim()
  if (name === '' || name.length > MOST) return t('people.list.nameNeeded')
  if (!SPOKEN.test(name) || INVISIBLE.test(name)) return t('people.list.nameOdd')
  const same = (one: Member) => one.id !== id && one.left_at === null && one.name.toLowerCase() === name.toLowerCase()
  return people.some(same) ? t('people.list.nameTaken', { name }) : null
}

export function pinProblem(pin: string): string | null {
  const weak = weakness(pin)
  return weak && t(`people.pin.${weak}`)
}

export const PASSWORD_LEAST = 15

export function passwordProblem(password: string): string | null {
  const count = [...password].length
  return count < PASSWORD_LEAST ? t('people.you.passwordShort', { count, least: PASSWORD_LEAST }) : null
}
