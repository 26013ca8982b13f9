import { existsSync } from 'node:fs'
import { chromium } from 'playwright'

/** The same browser without the parts that draw a window. Tests take a fifth less time in it; benches and pictures keep to the one that people have. */
export const LIGHT_CHROMIUM = '/usr/bin/chromium-headless-shell'

/** Where systems keep a Chromium of their own. `CHROMIUM` names another one. */
const PLACES = [
  process.env['CHROMIUM'] ?? '',
  process.env['VITEST'] === undefined ? '' : LIGHT_CHROMIUM,
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
]

/** The system's Chromium, else Playwright's; null when there is neither. */
export function findChromium(): string | null {
  const own = chromium.executablePath()
  return [...PLACES, own].find((file) => file !== '' && existsSync(file)) ?? null
}
