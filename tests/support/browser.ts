import { existsSync } from 'node:fs'
import { chromium, type Browser, type BrowserContext, type BrowserContextOptions } from 'playwright'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import type { JoinedClient } from './server-process'

/** Where systems keep a Chromium of their own; otherwise Playwright's. */
const SYSTEM = [
  process.env['CHROMIUM'] ?? '',
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
]
const ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
]

let shared: Promise<Browser> | null = null

/** One Chromium for all tests of a file. */
export function browser(): Promise<Browser> {
  const executablePath = SYSTEM.find((file) => file !== '' && existsSync(file))
  shared ??= chromium.launch({ args: ARGS, ...(executablePath && { executablePath }) })
  return shared
}

export async function closeBrowser(): Promise<void> {
  const running = await shared
  shared = null
  await running?.close()
}

const context = async (options: BrowserContextOptions): Promise<BrowserContext> =>
  (await browser()).newContext({
    reducedMotion: 'reduce',
    locale: 'en-GB',
    timezoneId: 'Europe/Berlin',
    ...options,
  })

/** A phone: touch, 390 by 844. */
export const phone = (options: BrowserContextOptions = {}) =>
  context({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, ...options })

/** A laptop: 1280 by 800. */
export const laptop = (options: BrowserContextOptions = {}) =>
  context({ viewport: { width: 1280, height: 800 }, ...options })

/** Give a context somebody's session without going through the joining screen. */
export const signIn = (to: BrowserContext, origin: string, client: JoinedClient) =>
  to.addCookies([{ name: SESSION_COOKIE, value: client.token, url: origin, httpOnly: true, sameSite: 'Lax' }])
