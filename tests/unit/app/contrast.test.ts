import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const css = readFileSync(new URL('../../../app/ui/styles/tokens.css', import.meta.url), 'utf8')

/** The color tokens of one rule. */
function tokens(selector: string): Map<string, string> {
  const start = css.indexOf(`${selector} {`)
  if (start < 0) throw new Error(`no rule ${selector}`)
  const body = css.slice(start, css.indexOf('}', start))
  return new Map([...body.matchAll(/--([a-z0-9-]+):\s*(#[0-9a-f]{6})/g)].map((m) => [m[1]!, m[2]!]))
}

/** Relative luminance and contrast ratio: WCAG 2.2, definitions of "relative luminance" and "contrast ratio" (W3C, 5 October 2023). */
function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5]
    .map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}
function contrast(a: string, b: string): number {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x)
  return (light! + 0.05) / (dark! + 0.05)
}

describe.each([
  ['day', ':root'],
  ['night', ":root[data-night='on']"],
])('colors by %s', (_name, selector) => {
  const t = tokens(selector)
  const of = (name: string) => t.get(name) ?? ''
  const grounds = ['paper', 'sheet', 'wash']

  it.each(['ink', 'soft', 'hot', 'calm'])('%s holds 7:1 on every ground (WCAG 2.2, 1.4.6)', (name) => {
    for (const ground of grounds)
      expect(contrast(of(name), of(ground)), `${name} on ${ground}`).toBeGreaterThanOrEqual(7)
  })
  it.each([
    ['sheet', 'ink'],
    ['hot-ink', 'hot'],
    ['calm-ink', 'calm'],
  ])('%s holds 7:1 on %s', (text, ground) => {
    expect(contrast(of(text), of(ground))).toBeGreaterThanOrEqual(7)
  })
  it.each([1, 2, 3, 4, 5].map((n) => `band-${n}`))(
    '%s holds 3:1 as a part of a picture (WCAG 2.2, 1.4.11)',
    (name) => {
      for (const ground of grounds)
        expect(contrast(of(name), of(ground)), `${name} on ${ground}`).toBeGreaterThanOrEqual(3)
    },
  )
  it.each(['edge', 'focus'])('%s holds 3:1 as the edge of a control (WCAG 2.2, 1.4.11)', (name) => {
    for (const ground of grounds)
      expect(contrast(of(name), of(ground)), `${name} on ${ground}`).toBeGreaterThanOrEqual(3)
  })
})

it('the calculation agrees with the ratios that WCAG states: black on white is 21:1', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10)
})

it('night by choice and night by the device are the same', () => {
  expect([...tokens(":root[data-night='auto']")]).toEqual([...tokens(":root[data-night='on']")])
})
