import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { BrowserContext } from 'playwright'
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

/** Open a page and hand back what the browser complained about. */
async function complaintsAt(context: BrowserContext, path: string) {
  const complaints: string[] = []
  const page = await context.newPage()
  page.on('console', (m) => {
    if (m.type() === 'error') complaints.push(`${path}: ${m.text()} (${m.location().url})`)
  })
  page.on('pageerror', (e) => complaints.push(`${path}: ${e.message}`))
  const response = await page.goto(server.origin + path, { waitUntil: 'load', timeout: 90_000 })
  await page.waitForFunction(() => {
    const text = document.body.innerText.trim()
    return text.length > 0 && !text.includes('Opening the board')
  })
  expect(response?.status(), path).toBe(200)
  await page.close()
  return complaints
}

describe('pages under the strict content security policy', () => {
  it('open without a complaint of the browser, for a manager on a laptop and a driver on a phone', async () => {
    const boss = await laptop()
    await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    const driver = await phone()
    await signIn(driver, server.origin, await server.join('driver', { personId: 'maren-oduya' }))
    for (const context of [boss, driver])
      for (const path of ['/', '/crew', '/help', '/kit', '/kit/packs', '/join', DAY, `${DAY}/order`])
        expect(await complaintsAt(context, path)).toEqual([])
    await boss.close()
    await driver.close()
  })

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
