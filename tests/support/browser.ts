import { createHash, X509Certificate } from 'node:crypto'
import {
  chromium,
  type Browser,
  type BrowserContext,
  type BrowserContextOptions,
  type Page,
} from 'playwright'
import { SESSION_COOKIE } from '@/lib/join/session-cookie'
import { findChromium } from './find-chromium'
import type { JoinedClient } from './server-process'

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
let trusted: readonly string[] = []

/** One Chromium for all tests of a file. */
export function browser(): Promise<Browser> {
  const executablePath = findChromium()
  const trust = trusted.length > 0 ? [`--ignore-certificate-errors-spki-list=${trusted.join()}`] : []
  shared ??= chromium.launch({
    args: [...ARGS, ...trust],
    ...(executablePath && { executablePath }),
  })
  return shared
}

/**
 * Have the browsers from here on trust this server certificate (PEM), as a phone does on which its authority was installed. Playwright's own
 * `ignoreHTTPSErrors` will not do: Chromium then registers no service worker.
 */
export async function trustCertificate(pem: string): Promise<void> {
  await closeBrowser()
  const key = new X509Certificate(pem).publicKey.export({ type: 'spki', format: 'der' })
  trusted = [...trusted, createHash('sha256').update(key).digest('base64')]
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

// Playwright debugs a service worker through the page that it began in: closing that page while the worker gets ready leaves it waiting for a
// debugger, and with it every later navigation of the context. Tests go from screen to screen in one page, or wait for the worker first.

/** A phone: touch, 390 by 844. */
export const phone = (options: BrowserContextOptions = {}) =>
  context({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, ...options })

/** A laptop: 1280 by 800. */
export const laptop = (options: BrowserContextOptions = {}) =>
  context({ viewport: { width: 1280, height: 800 }, ...options })

/** Give a context somebody's session without going through the joining screen. */
export const signIn = (to: BrowserContext, origin: string, client: JoinedClient) =>
  to.addCookies([{ name: SESSION_COOKIE, value: client.token, url: origin, httpOnly: true, sameSite: 'Lax' }])

/** What comes after the first look is here too: the page does all that it can without asking for more. */
export const isWhole = (page: Page) => page.locator('html[data-whole]').waitFor({ state: 'attached' })

/** After an act its place on the screen takes no other one for a moment; a person's next tap comes later than a script's. */
export const placesAreFree = (page: Page) =>
  page.locator('[data-place-locked]').first().waitFor({ state: 'detached' })
