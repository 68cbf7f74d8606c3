import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const css = readFileSync(new URL('./tokens.css', import.meta.url), 'utf8')
const [light = '', dark = ''] = css.split('@media (prefers-color-scheme: dark)')

function roles(text: string): Record<string, string> {
  return Object.fromEntries([...text.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, hex]) => [name, hex]))
}

/** Relative luminance as WCAG 2.2 defines it. */
function luminance(hex: string): number {
  const [red, green, blue] = [1, 3, 5]
    .map((start) => parseInt(hex.slice(start, start + 2), 16) / 255)
    .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)) as [number, number, number]
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue
}

function contrast(one: string, other: string): number {
  const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a) as [number, number]
  return (high + 0.05) / (low + 0.05)
}

const themes: [string, Record<string, string>][] = [
  ['light', roles(light)],
  ['dark', { ...roles(light), ...roles(dark.split('\n}\n')[0] ?? '') }],
]
const grounds = ['paper', 'paper-raised']

describe.each(themes)('%s', (_, role) => {
  const of = (name: string) => role[name] ?? expect.fail(`no --${name}`)

  it.each(['ink', 'ink-soft', 'alive', 'lost'])('--%s reads in glare: 7:1', (text) => {
    for (const ground of grounds) expect(contrast(of(text), of(ground))).toBeGreaterThanOrEqual(7)
  })

  it.each(['edge', 'alive-fill', 'lost-fill', 'focus'])('--%s is seen as an edge: 3:1', (edge) => {
    for (const ground of grounds) expect(contrast(of(edge), of(ground))).toBeGreaterThanOrEqual(3)
  })

  it('a pressed or filled button keeps its words: 7:1', () => {
    expect(contrast(of('tap'), of('tap-ink'))).toBeGreaterThanOrEqual(7)
    expect(contrast(of('line'), of('ink'))).toBeGreaterThanOrEqual(7)
  })
})
