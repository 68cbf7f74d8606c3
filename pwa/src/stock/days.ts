/** Days are the facility's: a check late in the evening belongs to that evening wherever it is read. */

const formats = new Map<string, Intl.DateTimeFormat>()

function format(zone: string): Intl.DateTimeFormat {
  let found = formats.get(zone)
  if (!found) {
    // Latin digits and the ISO calendar, whatever the phone's own language.
    found = new Intl.DateTimeFormat('en-u-ca-iso8601-nu-latn', {
      timeZone: zone,
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
    })
    formats.set(zone, found)
  }
  return found
}

/**
 * The calendar date ('2026-03-01') at a UTC time in milliseconds, years 1 to 9999, in an IANA zone.
 * RangeError where the phone does not know the zone.
 */
export function localDay(at: number, zone: string): string {
  let year = ''
  let month = ''
  let day = ''
  for (const { type, value } of format(zone).formatToParts(at)) {
    if (type === 'year') year = value
    else if (type === 'month') month = value
    else if (type === 'day') day = value
  }
  return `${year.padStart(4, '0')}-${month}-${day}`
}

const DAY_MS = 86_400_000

/** Days from one calendar date to another; dates have no hours, so daylight saving is no matter. */
export function daysBetween(from: string, to: string): number {
  return (Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY_MS
}

/** Whether a calendar has the date; some browsers read a 30 February as 2 March, others as no time at all. */
export function isDate(text: string): boolean {
  const at = Date.parse(`${text}T00:00:00Z`)
  return !Number.isNaN(at) && new Date(at).toISOString().slice(0, 10) === text
}

/** The calendar date so many days later. */
export function addDays(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10)
}

/** Whether this phone's tables know the zone. */
export function isZone(zone: string): boolean {
  try {
    format(zone)
    return true
  } catch (error) {
    if (error instanceof RangeError) return false
    throw error
  }
}
