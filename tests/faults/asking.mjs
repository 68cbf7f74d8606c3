/** Requests that the app makes from screens which a handset has not: pairing, holding, deciding. */

export async function post({ request }, { path, body = null }) {
  const headers = { 'Content-Type': 'application/json' }
  const response = await request(path, { method: 'POST', headers, body: JSON.stringify(body) })
  const text = await response.text()
  return { status: response.status, answer: text ? JSON.parse(text) : null }
}
