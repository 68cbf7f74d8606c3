/** A phone that an app newer than this one has opened. */

/** The version that the database of a phone has now. */
export async function version(handset) {
  const found = (await indexedDB.databases()).find((one) => one.name === handset.name)
  return { version: found?.version ?? null }
}

/** Opens it under a higher version, which adds a store, as every version only adds. */
export async function raise(handset) {
  await handset.phone.db.close()
  const { version: now } = await version(handset)
  const db = await new Promise((done, failed) => {
    const asked = indexedDB.open(handset.name, now + 1)
    asked.onupgradeneeded = () => asked.result.createObjectStore('of-a-newer-app')
    asked.onsuccess = () => done(asked.result)
    asked.onerror = () => failed(asked.error)
  })
  db.close()
  return { version: now + 1 }
}
