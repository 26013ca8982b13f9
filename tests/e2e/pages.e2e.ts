import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BrowserContext, ConsoleMessage, Page } from 'playwright'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { closeBrowser, laptop, phone, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
const DAY = `/board/${DEMO_MEETING_ID}`
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server?.dispose()
})

/** Open a screen and hand back what the browser complained about. */
async function complaintsAt(page: Page, path: string) {
  const complaints: string[] = []
  const onConsole = (m: ConsoleMessage) => {
    if (m.type() === 'error') complaints.push(`${path}: ${m.text()} (${m.location().url})`)
  }
  const onError = (e: Error) => void complaints.push(`${path}: ${e.message}`)
  page.on('console', onConsole).on('pageerror', onError)
  const response = await page.goto(server.origin + path, { waitUntil: 'load' })
  await page.waitForFunction(() => {
    const text = document.body.innerText.trim()
    return text.length > 0 && !text.includes('Opening the board')
  })
  expect(response?.status(), path).toBe(200)
  page.off('console', onConsole).off('pageerror', onError)
  return complaints
}

const SCREENS = ['/', '/crew', '/help', '/kit', '/kit/packs', '/season', '/join', DAY, `${DAY}/order`]

describe.each([
  { who: 'a manager on a laptop', make: laptop, role: 'manager' as const, personId: 'petra-amsel' },
  { who: 'a driver on a phone', make: phone, role: 'driver' as const, personId: 'maren-oduya' },
])('under the strict content security policy, for $who', ({ make, role, personId }) => {
  let context: BrowserContext
  let page: Page
  beforeAll(async () => {
    context = await make()
    await signIn(context, server.origin, await server.join(role, { personId }))
    page = await context.newPage()
  })
  afterAll(() => context.close())

  it.each(SCREENS)('%s opens without a complaint of the browser', async (path) =>
    expect(await complaintsAt(page, path)).toEqual([]),
  )
})

describe('the strict content security policy', () => {
  it('an injected inline script does not run', async () => {
    const context = await laptop()
    const page = await context.newPage()
    await page.goto(`${server.origin}/join`)
    const ran = await page.evaluate(async () => {
      const blocked = new Promise<string>((resolve) =>
        document.addEventListener('securitypolicyviolation', (e) => resolve(e.effectiveDirective)),
      )
      // What markup smuggled into the page would do; a script made by a trusted script would be allowed by strict-dynamic.
      document.body.insertAdjacentHTML('beforeend', '<img src="/nowhere" onerror="window.hacked = true">')
      return { directive: await blocked, hacked: 'hacked' in window }
    })
    expect(ran.hacked).toBe(false)
    expect(ran.directive).toMatch(/^script-src/)
    await context.close()
  })
})
