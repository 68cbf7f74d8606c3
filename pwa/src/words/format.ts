let language: string | undefined
let facilityZone: string | undefined

/** The language numbers and dates are written in; the phone's own until it is set. */
export function setLocale(tag: string | undefined): void {
  language = tag
}

export function locale(): string | undefined {
  return language
}

/**
 * The facility's IANA zone, e.g. `Indian/Maldives`. Every date shown and every count of days is in
 * it, so that a phone carried across a border does not move a check to another day.
 * Throws RangeError for a zone this phone does not know.
 */
export function setZone(zone: string | undefined): void {
  if (zone !== undefined) new Intl.DateTimeFormat('en', { timeZone: zone })
  facilityZone = zone
}

export function zone(): string {
  return facilityZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone
}

export function number(value: number, options?: Intl.NumberFormatOptions): string {
  return new Intl.NumberFormat(language, options).format(value)
}

function write(at: Date | number, options: Intl.DateTimeFormatOptions): string {
  return new Intl.DateTimeFormat(language, { ...options, timeZone: zone() }).format(at)
}

/** '12 Mar 2026', as the locale writes it. */
export function day(at: Date | number): string {
  return write(at, { day: 'numeric', month: 'short', year: 'numeric' })
}

export function time(at: Date | number): string {
  return write(at, { hour: '2-digit', minute: '2-digit' })
}

export function dayTime(at: Date | number): string {
  return write(at, { day: 'numeric', month: 'short', hour: '2-digit', minute: '2-digit' })
}

const STEPS: readonly [Intl.RelativeTimeFormatUnit, number][] = [
  ['day', 86_400_000],
  ['hour', 3_600_000],
  ['minute', 60_000],
]

/** A length of time in its largest unit: '6 minutes', '2 days'. */
export function span(ms: number): string {
  const [unit, size] = STEPS.find(([, size]) => ms >= size) ?? ['minute', 60_000]
  return new Intl.NumberFormat(language, { style: 'unit', unit, unitDisplay: 'long' }).format(Math.round(ms / size))
}

/** '3 min ago', '2 hr ago'; under a minute 'now'. `at` and `now` in milliseconds. */
export function age(at: number, now: number = Date.now()): string {
  const passed = Math.max(0, now - at)
  const writer = new Intl.RelativeTimeFormat(language, { numeric: 'always', style: 'short' })
  for (const [unit, size] of STEPS) {
    if (passed >= size) return writer.format(-Math.floor(passed / size), unit)
  }
  return new Intl.RelativeTimeFormat(language, { numeric: 'auto' }).format(0, 'second')
}
