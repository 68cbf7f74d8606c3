/** Phones with a fault of their own, for the tests of the checker: each breaks one promise. */

/** Whatever is answered 200 counts as delivered. */
export async function dropsOnAny200(handset) {
  const real = handset.fetch
  handset.fetch = async (path, init) => {
    const sent = ids(path, init)
    const response = await real(path, init)
    if (response.ok) await drop(handset, sent)
    return response
  }
}

/** Nobody is signed in: what waits is cleared away. */
export async function clearsOn401(handset) {
  const real = handset.fetch
  handset.fetch = async (path, init) => {
    const response = await real(path, init)
    if (response.status === 401) await drop(handset, (await handset.phone.outbox.waiting()).map((one) => one.record.id))
    return response
  }
}

/** Each sending gives the records new ids. */
export async function renames(handset) {
  const real = handset.fetch
  handset.fetch = async (path, init) => {
    if (!path.startsWith('/api/sync/push')) return real(path, init)
    const body = JSON.parse(init.body)
    const names = new Map()
    for (const record of body.records) {
      const id = handset.phone.outbox.newId()
      names.set(id, record.id)
      record.id = id
    }
    const response = await real(path, { ...init, body: JSON.stringify(body) })
    const answer = await response.json()
    for (const one of answer.answers ?? []) one.id = names.get(one.id) ?? one.id
    return new Response(JSON.stringify(answer), { status: response.status })
  }
}

/** What waits is written anew in a later version's words. */
export async function rewrites(handset) {
  await handset.phone.db.write(async (tx) => {
    for (const row of await tx.objectStore('records').getAll()) {
      if (row.record.kind !== 'check') continue
      await tx.objectStore('records').put({ ...row, record: { ...row.record, body: { ...row.record.body, mouth: 'feeding' } } })
    }
  })
}

function ids(path, init) {
  return path.startsWith('/api/sync/push') ? JSON.parse(init.body).records.map((one) => one.id) : []
}

/** Out of the line, and no more known as this phone's own, so that no gap brings it back. */
async function drop(handset, sent) {
  await handset.phone.db.write(async (tx) => {
    const outbox = tx.objectStore('outbox')
    for (const id of sent) {
      const place = await outbox.index('record').getKey(id)
      if (place !== undefined) await outbox.delete(place)
      const row = await tx.objectStore('records').get(id)
      if (row) await tx.objectStore('records').put({ ...row, mine: null })
    }
  })
}
