import { existsSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { anotherBuild } from '../support/another-build'
import { closeBrowser, laptop, signIn, trustCertificate } from '../support/browser'
import { allWorkersWork } from '../support/screens-with-workers'
import { ServerProcess } from '../support/server-process'
import { isTakenOver, reopenUnder } from '../support/service-worker-page'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const BUILD = readFileSync(join(ROOT, '.next', 'BUILD_ID'), 'utf8').trim()
const NEXT_BUILD = 'AnotherBuildOfTheScre'

let another: Awaited<ReturnType<typeof anotherBuild>>
beforeAll(async () => void (another = await anotherBuild(NEXT_BUILD)))
afterAll(() => another.dispose())

describe.each([
  { over: 'localhost', args: [] },
  { over: 'HTTPS', args: ['--https'] },
])('background workers under the service worker, over $over', ({ args }) => {
  let server: ServerProcess
  let context: BrowserContext
  let page: Page
  const complaints: string[] = []
  beforeAll(async () => {
    server = await ServerProcess.start({ demo: true, args })
    if (server.certificate) await trustCertificate(server.certificate)
    context = await laptop()
    context.on('weberror', (e) => complaints.push(e.error().message))
    await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
    page = await context.newPage()
  })
  afterAll(async () => {
    await closeBrowser()
    await server.dispose()
  })

  it('first visit: they work from the first screen on, and the device keeps all it needs', async () => {
    await allWorkersWork(page, server.origin)
    await isTakenOver(page, BUILD)
    expect(complaints).toEqual([])
  }, 240_000)

  it('second visit: they work in a page that the service worker has from its beginning', async () => {
    await page.close()
    page = await context.newPage()
    await allWorkersWork(page, server.origin)
    await isTakenOver(page, BUILD)
    expect(complaints).toEqual([])
  }, 240_000)

  it('without network: they work after a reload of each screen', async () => {
    await context.setOffline(true)
    await server.kill9()
    await allWorkersWork(page, server.origin)
    expect(complaints).toEqual([])
    await context.setOffline(false)
    await server.restart()
  }, 240_000)

  it('after an upgrade to another build: they work, the new service worker takes over, the old cache goes', async () => {
    // A page of before stays open meanwhile, as somebody types in it: otherwise it would load itself anew.
    const old = await context.newPage()
    await old.goto(`${server.origin}/board/saltmarsh-autumn-open/order`)
    await old.getByText('all saved on the server').first().waitFor()
    await old.keyboard.press('/')
    await old.keyboard.type('Rook')
    await server.restart(another.root)

    // Pages of the new build work at once, under the worker that there is; the old page still gets files that the server has no longer.
    await allWorkersWork(page, server.origin)
    const file = await old.evaluate(
      () => [...document.scripts].find((x) => x.src.includes('/_next/static/chunks/'))?.src ?? '',
    )
    expect(await old.evaluate(async (src) => (await fetch(src)).status, file)).toBe(200)
    expect(existsSync(join(another.root, '.next', 'static', 'chunks', basename(file)))).toBe(false)

    page = await reopenUnder(context, server.origin, NEXT_BUILD)
    await isTakenOver(page, NEXT_BUILD)
    await allWorkersWork(page, server.origin)
    expect(complaints).toEqual([])
  }, 300_000)
})
