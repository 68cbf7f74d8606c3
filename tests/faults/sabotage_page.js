// Pages with a fault of their own, for the tests of the checker. Put in after page.js.
;(() => {
  const own = globalThis.person
  const database = () =>
    new Promise((done) => {
      const asked = indexedDB.open('nubbin')
      asked.onsuccess = () => done(asked.result)
    })
  const change = async (work) => {
    const db = await database()
    const tx = db.transaction([...db.objectStoreNames], 'readwrite')
    work(tx)
    await new Promise((done) => (tx.oncomplete = done))
    db.close()
  }
  const drop = () =>
    change((tx) => {
      tx.objectStore('outbox').getAll().onsuccess = ({ target: { result: rows } }) => {
        for (const row of rows.slice(0, 7)) {
          tx.objectStore('outbox').delete(row.id)
          tx.objectStore('records').delete(row.record)
        }
      }
    })
  const beginAgain = async () => {
    const { device } = (await own.phone()).me
    const mine = (await own.rows('records')).filter(({ record }) => record.device === device.id)
    const last = Math.max(0, ...mine.map(({ record }) => record.device_seq))
    await change((tx) => {
      const meta = tx.objectStore('meta')
      meta.delete('loss')
      meta.put(last, `device_seq:${device.id}`)
    })
  }
  const kinds = {
    /** The page says 'saved' and has written nothing down. */
    saysSaved() {
      own.note = own.save = async () => 'saved'
      own.notes = async (prefix, count) => {
        for (let number = 0; number < count; number += 1) {
          globalThis.toldNote(`${prefix} ${number}`, 'saved')
          await own.wait(20)
        }
      }
    },
    /** Some of what waits is thrown away: before the line is drained, and as the app is opened. */
    dropsRows() {
      const { drained, known } = own
      own.drained = (patience) => drop().then(() => drained(patience))
      own.known = () => drop().then(known)
    },
    /** A phone whose storage is gone begins again behind what the server has, and says nothing. */
    numbersAgain() {
      const notes = own.notes
      own.notes = async (prefix, count) => {
        if (prefix === 'after') await beginAgain()
        return notes(prefix, count)
      }
    },
  }
  kinds[globalThis.sabotageKind]?.()
})()
