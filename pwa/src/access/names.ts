import { phone, PhoneError } from '../sync/phone.svelte.ts'
import type { Member } from './people.ts'
import { fetchPeople } from './requests.ts'
import { ServerError } from './server.ts'

/** Everybody, their names kept on this phone as well, for where there is no network. Throws ServerError. */
export async function peopleAndNames(): Promise<readonly Member[]> {
  const people = await fetchPeople(fetch)
  await keepNames(people)
  return people
}

/** A phone that is full goes on with the names it had; who asked for the people gets them all the same. */
async function keepNames(people: readonly Member[]): Promise<void> {
  try {
    await phone.setPeople(people.map(({ id, name, left_at }) => ({ id, name, left: left_at !== null })))
  } catch (error) {
    if (!(error instanceof PhoneError)) throw error
  }
}

/** Whoever is at this phone learns the names of the others; without an answer it goes on with the old ones. */
export async function learnNames(): Promise<void> {
  if (!phone.me) return
  try {
    await peopleAndNames()
  } catch (error) {
    if (!(error instanceof ServerError)) throw error
  }
}
