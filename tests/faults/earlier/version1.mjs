/**
 * Phones as they were left by earlier versions of the app: a frozen copy of the first version of
 * its database, with what waits in it. Never changed once a version has been released.
 *
 *   seed(handset, {me, cookie, drafts})  -> records: what the phone had shown as saved
 */
const AGO_MS = 7 * 86_400_000

function migrate(db) {
  const records = db.createObjectStore('records', { keyPath: 'id' })
  records.createIndex('piece', 'piece')
  records.createIndex('subject', 'subject')
  records.createIndex('mine', 'mine')
  const outbox = db.createObjectStore('outbox', { keyPath: 'id', autoIncrement: true })
  outbox.createIndex('record', 'record', { unique: true })
  const pieces = db.createObjectStore('pieces', { keyPath: 'id' })
  pieces.createIndex('codes', 'codes', { multiEntry: true })
  pieces.createIndex('spot', ['state.tray', 'state.place'])
  pieces.createIndex('tray', 'state.tray')
  pieces.createIndex('stage', 'state.stage')
  pieces.createIndex('cut', 'state.cut')
  db.createObjectStore('cuts', { keyPath: 'id' }).createIndex('mother', 'mother')
  db.createObjectStore('items', { keyPath: 'id' })
  db.createObjectStore('meta')
}

export async function seed(handset, { me, cookie, drafts }) {
  handset.cookie = cookie
  const db = await open(handset.name, 1)
  const made = drafts.map((draft, index) => envelope(handset, me, draft, index + 1))
  const tx = db.transaction([...db.objectStoreNames], 'readwrite')
  const meta = tx.objectStore('meta')
  meta.put({ epoch: me.epoch, staff: me.staff, device: { id: me.device.id, name: me.device.name }, version: '0.1.0', demo: false }, 'me')
  meta.put(me.device.id, 'device')
  meta.put(me.epoch, 'epoch')
  meta.put(made.length, `device_seq:${me.device.id}`)
  meta.put(0, 'skew')
  for (const record of made) {
    tx.objectStore('records').add(row(record))
    tx.objectStore('outbox').add({
      record: record.id, staff: record.staff, device: record.device, state: 'waiting', problem: null,
      saved_at: Date.parse(record.observed.at), tries: 3,
    })
  }
  await new Promise((done, failed) => {
    tx.oncomplete = done
    tx.onabort = () => failed(tx.error)
  })
  db.close()
  return { records: made }
}

function open(name, version) {
  return new Promise((done, failed) => {
    const asked = indexedDB.open(name, version)
    asked.onupgradeneeded = () => migrate(asked.result)
    asked.onsuccess = () => done(asked.result)
    asked.onerror = () => failed(asked.error)
  })
}

function envelope(handset, me, { kind, subject, body }, device_seq) {
  const at = new Date(Date.now() - AGO_MS + device_seq * 60_000).toISOString()
  return {
    id: handset.phone.outbox.newId(), kind, v: 1, subject,
    observed: { at, offset: 60, zone: 'Europe/Lisbon', session: handset.phone.outbox.session, tick: device_seq },
    staff: me.staff.id, device: me.device.id, device_seq, body,
  }
}

function row(record) {
  const { kind, id } = record.subject
  return {
    id: record.id, at: Date.parse(record.observed.at), seq: null, subject: `${kind}:${id}`,
    piece: kind === 'piece' ? id : null, mine: record.device_seq, gone: false, refused: false, record,
  }
}
