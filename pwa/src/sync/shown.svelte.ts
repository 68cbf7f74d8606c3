/** What is shown of the phone's own state; every field is reactive, nothing here waits. */
import type { Code, Key, ListName } from '../records/fields.ts'
import { tally } from '../photos/shelf.ts'
import { status } from '../shell/status.svelte.ts'
import { localDay } from '../stock/days.ts'
import { itemWithCode, ofList, settingsOf, type Item, type Settings } from '../stock/lists.ts'
import { setLocale, setZone } from '../words/format.ts'
import type { Outcome } from './drain.ts'
import { getMeta, lastDeviceSeq } from './meta.ts'
import { unsentOf } from './outbox.ts'
import type { Read } from './schema.ts'
import type { Loss, Me, Note, Paired, Paused, Problem } from './views.ts'

export class Shown {
  /** Grows with every change of what is on this phone. */
  version = $state(0)
  /** Lists and the person are read; until then show nothing rather than an empty state. */
  ready = $state(false)
  /** Who is at this phone; null where nobody is. Recording then rejects. */
  me = $state.raw<Me | null>(null)
  /** This phone as the server knows it, also where it is shared and nobody holds it. */
  paired = $state.raw<Paired | null>(null)
  /** This phone's key on the server, kept on signing out; to be sent along on signing in again. */
  device = $state<Key | null>(null)
  /** The farm's records are not all on this phone yet: what is missing may still come. */
  filling = $state(false)
  paused = $state<Paused | null>(null)
  /** What the server said with it, where it said something. */
  problem = $state.raw<Problem | null>(null)
  /** What the server said of single records it took, such as that a lead must decide; until read. */
  notes = $state.raw<readonly Note[]>([])
  /** This phone's clock less the server's, in milliseconds; more than 5 minutes wants saying. */
  skew = $state(0)
  /** Everything here was deleted on purpose, and nobody has signed in since. */
  wiped = $state(false)
  /** The browser emptied this phone's storage: what is known of it, until a person has read it. */
  loss = $state.raw<Loss | null>(null)
  /** Waiting records by who recorded them. */
  unsentBy = $state.raw<Readonly<Record<Key, number>>>({})
  /** Whether the browser has promised to keep what is stored here; null until it was asked. */
  persisted = $state<boolean | null>(null)
  /** The sentence to show where the phone's own storage cannot be read; else null. */
  get broken(): string | null {
    return status.broken
  }
  set broken(sentence: string | null) {
    status.broken = sentence
  }

  #people = $state.raw<ReadonlyMap<Key, string>>(new Map())
  #items = $state.raw<ReadonlyMap<Key, Item>>(new Map())
  readonly settings: Settings = $derived(settingsOf(this.#items.get('settings')))

  /** The zone days are counted in. */
  get zone(): string {
    return this.settings.zone
  }

  /** Today's date in that zone. */
  today(): string {
    return localDay(Date.now(), this.zone)
  }

  /** Entries of one list by name, without retired ones unless asked for. */
  items(list: ListName, retired = false): Item[] {
    return ofList(this.#items.values(), list, retired)
  }

  item(id: Key): Item | undefined {
    const found = this.#items.get(id)
    return found?.list === '' ? undefined : found
  }

  /** The tray or tank that a label is on. */
  itemByCode(code: Code): Item | undefined {
    return itemWithCode(this.#items.values(), code)?.item
  }

  /** A person's name by the key that records carry; the key itself where the name is not known here. */
  nameOf(staff: Key): string {
    return staff === this.me?.staff.id ? this.me.staff.name : (this.#people.get(staff) ?? staff)
  }

  /** Each with the tank it stands in. */
  trays(): Item[] {
    return this.items('tray')
  }

  /** Show what the database holds. */
  show({ me, paired, device, skew, loss, wiped, notes, whole, items, people, unsent, photos }: Snapshot): void {
    this.me = me ?? null
    this.paired = paired ?? this.me
    this.#people = new Map(people?.map(({ id, name }) => [id, name]))
    this.filling = this.me !== null && !whole
    this.device = device ?? null
    this.skew = skew ?? 0
    this.loss = loss ?? null
    status.loss = this.loss !== null
    this.wiped = wiped
    this.notes = notes ?? []
    this.#items = new Map(items.map((item) => [item.id, item]))
    this.unsentBy = unsent.byStaff
    status.unsent = unsent.waiting
    status.refused = unsent.refused
    status.oldest = unsent.oldest
    status.photos = photos.waiting
    status.photoBytes = photos.bytes
    status.photosRefused = photos.refused
    setZone(this.settings.zone)
    if (this.settings.locale) setLocale(this.settings.locale)
    this.ready = true
    this.version += 1
  }

  /** Show how the last round went. */
  conclude({ paused, problem }: Outcome): void {
    status.online = paused !== 'offline' && paused !== 'not-ours'
    this.paused = paused
    this.problem = problem
  }
}

export type Snapshot = Awaited<ReturnType<typeof snapshot>>

export async function snapshot(tx: Read) {
  const device = await getMeta(tx, 'device')
  return {
    me: await getMeta(tx, 'me'),
    paired: await getMeta(tx, 'paired'),
    people: await getMeta(tx, 'people'),
    device,
    last: device === undefined ? 0 : await lastDeviceSeq(tx, device),
    skew: await getMeta(tx, 'skew'),
    loss: await getMeta(tx, 'loss'),
    notes: await getMeta(tx, 'notes'),
    wiped: (await getMeta(tx, 'wiped')) === true,
    whole: (await getMeta(tx, 'cursor')) !== undefined && (await getMeta(tx, 'more')) !== true,
    items: await tx.objectStore('items').getAll(),
    unsent: unsentOf(await tx.objectStore('outbox').getAll()),
    photos: await tally(tx),
  }
}
