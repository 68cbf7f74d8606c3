// What a person does on a page, done from inside it, so that it goes on at the page's own pace.
;(() => {
  const wait = (ms) => new Promise((done) => setTimeout(done, ms))
  const shown = (one) => one?.checkVisibility() === true

  async function until(find, what, patience = 20_000) {
    for (const end = performance.now() + patience; performance.now() < end; await wait(4)) {
      const found = await find()
      if (found) return found
    }
    throw new Error(`waited in vain for ${what} on ${location.pathname}`)
  }

  const named = (name) => (one) => shown(one) && !one.disabled && one.textContent.trim() === name
  const button = (name) => until(() => [...document.querySelectorAll('button')].find(named(name)), `the button ${name}`)

  const toast = () => document.querySelector('.toast')
  const problem = () => [...document.querySelectorAll(':is(dialog[open], .thumb) [role=alert]')].find(shown)?.textContent.trim() ?? ''

  /** Types a note on a piece's page. */
  async function draft(text) {
    await known()
    ;(await button('More')).click()
    ;(await button('Write a note')).click()
    const field = await until(() => document.querySelector('dialog[open] textarea'), 'the field')
    field.value = text
    field.dispatchEvent(new Event('input', { bubbles: true }))
  }

  /** Types a note and saves it. What the page then says: 'saved' or why not. */
  async function note(text) {
    await draft(text)
    return save()
  }

  /** Saves the note that is typed. */
  async function save() {
    const said = await press('Save the note', 'Note saved')
    if (said === 'saved') await until(() => !document.querySelector('dialog[open]'), 'the sheet to close')
    return said
  }

  /** Presses a button that saves, and waits for what the page says: 'saved' or why not. */
  async function press(name, words) {
    const before = toast()
    const target = await button(name)
    target.click()
    // Until the page has answered, what it said before may still stand there.
    await wait(0)
    await until(() => !target.isConnected || !target.disabled, 'the button to come back')
    const fresh = () => toast() !== before && toast()?.textContent.includes(words)
    return until(() => (fresh() ? 'saved' : problem()), 'an answer')
  }

  async function notes(prefix, count) {
    for (let number = 0; number < count; number += 1) {
      const text = `${prefix} ${number}`
      const said = await note(text)
      globalThis.toldNote?.(text, said)
      if (said !== 'saved') return
    }
  }

  /** The app's own `phone`, from whichever of its files exports it, once that is loaded. */
  const phone = () => until(search, 'the phone among what the app exports')

  performance.setResourceTimingBufferSize(10_000)
  async function search() {
    const files = performance.getEntriesByType('resource').map((one) => one.name)
    for (const file of files.filter((name) => /\/assets\/.*\.js$/.test(name))) {
      const found = Object.values(await import(file)).find((one) => one && typeof one.recordAll === 'function')
      if (found) return found
    }
    return null
  }

  /** Until the app knows who is at this phone. */
  async function known() {
    const found = await phone()
    await until(() => found.me, 'somebody at this phone')
  }

  /** Puts checks in the line, five hundred at a time, through the app itself. */
  async function queue(pieces, count) {
    const app = await phone()
    for (let made = 0; made < count; made += 500) {
      const drafts = Array.from({ length: Math.min(500, count - made) }, (_, place) => ({
        kind: 'check',
        subject: { kind: 'piece', id: pieces[(made + place) % pieces.length] },
        body: { mouth: ['none', 'bud', 'open'][(made + place) % 3], encrustation: (made + place) % 5 },
      }))
      await app.recordAll(drafts)
    }
  }

  /** Waits until nothing is in the line. The longest task of the page meanwhile, in milliseconds. */
  async function drained(patience) {
    let longest = 0
    const observer = new PerformanceObserver((list) => {
      for (const task of list.getEntries()) longest = Math.max(longest, task.duration)
    })
    observer.observe({ type: 'longtask' })
    const app = await phone()
    const empty = async () => (await rows('outbox')).length === 0
    for (const end = performance.now() + patience; !(await empty()); await wait(250)) {
      if (performance.now() > end) throw new Error('the line is not empty after all')
      // What a phone does when it comes into reach again; else it would wait a quarter of a minute.
      if (app.paused) window.dispatchEvent(new Event('online'))
    }
    observer.disconnect()
    return longest
  }

  const answer = (asked) =>
    new Promise((done, failed) => {
      asked.onsuccess = () => done(asked.result)
      asked.onerror = () => failed(asked.error)
    })

  /** What is in one of the stores of the phone's database, read past the app. */
  async function read(store, how) {
    const db = await answer(indexedDB.open('nubbin'))
    const known = db.objectStoreNames.contains(store)
    const found = known ? answer(db.transaction(store).objectStore(store)[how]()) : []
    return Promise.resolve(found).finally(() => db.close())
  }
  const rows = (store) => read(store, 'getAll')
  const keys = (store) => read(store, 'getAllKeys')

  /**
   * A disk that is full: from the `at`th write of the phone's database on, counted from `fill`, each
   * one throws what a browser throws; or the browser gives up the whole transaction later on, where
   * `late`. `met` tells whether any write came so far.
   */
  const full = { at: 0, late: false, count: 0, met: false }
  for (const name of ['put', 'add']) {
    const real = IDBObjectStore.prototype[name]
    IDBObjectStore.prototype[name] = function (...given) {
      if (full.at === 0 || ++full.count < full.at) return real.apply(this, given)
      full.met = true
      if (!full.late) throw new DOMException('the disk is full', 'QuotaExceededError')
      const request = real.apply(this, given)
      this.transaction.abort()
      return request
    }
  }
  const fill = (at, late) => Object.assign(full, { at, late, count: 0, met: false })

  globalThis.person = { wait, until, button, problem, draft, save, note, notes, press, queue, drained, known, full, fill, phone, rows, keys }
})()
