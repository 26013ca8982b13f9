import { readFileSync } from 'node:fs'
import { createServer } from 'node:http'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { closeBrowser, phone, signIn } from '../support/browser'
import { allWorkersWork } from '../support/screens-with-workers'
import { ServerProcess } from '../support/server-process'
import { isInstalledBeside, isTakenOver, reopenUnder, workerState } from '../support/service-worker-page'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const BUILD = readFileSync(join(ROOT, '.next', 'BUILD_ID'), 'utf8').trim()
const FORMER = readFileSync(new URL('../support/former-service-worker.js', import.meta.url))
/** One script for all workers, told behind `#` what to be. */
const SHARED = '/_next/static/chunks/turbopack-worker-shared.js'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** What the board's address was before the upgrade: pages with the former service worker. */
async function formerBoard(port: number) {
  const files: Record<string, [type: string, body: string | Buffer]> = {
    '/sw.js': ['text/javascript', FORMER],
    [SHARED]: ['text/javascript', 'self.postMessage(location.hash)'],
  }
  const http = createServer((req, res) => {
    const [type, body] = files[(req.url ?? '').split('?')[0] ?? ''] ?? [
      'text/html',
      '<!doctype html><title>Former</title>',
    ]
    res.writeHead(200, { 'content-type': type }).end(body)
  })
  await new Promise<void>((resolve) => http.listen(port, '127.0.0.1', resolve))
  return () =>
    new Promise<void>((resolve) => {
      http.close(() => resolve())
      http.closeAllConnections()
    })
}

it('a phone whose former service worker gave every worker the first one’s code heals with the first page of this build', async () => {
  const { port } = server
  const client = await server.join('manager', { personId: 'petra-amsel' })
  await server.stop()
  const stopFormer = await formerBoard(port)
  const context = await phone()
  await signIn(context, server.origin, client)
  const page = await context.newPage()
  await page.goto(server.origin)
  await page.evaluate(async () => {
    await navigator.serviceWorker.register('/sw.js?build=former', { scope: '/', updateViaCache: 'none' })
    await navigator.serviceWorker.ready
  })
  await page.reload()
  // As it was: the second worker is told what the first was told.
  const told = await page.evaluate(async (path) => {
    const ask = (what: string) =>
      new Promise<unknown>((resolve) => {
        new Worker(`${path}#${what}`).onmessage = ({ data }) => resolve(data)
      })
    return [await ask('first'), await ask('second')]
  }, SHARED)
  expect(told).toEqual(['#first', '#first'])
  expect(await workerState(page)).toMatchObject({ controller: 'former', caches: ['stagecall-former'] })
  await stopFormer()
  await server.restart()

  // The former one is still in charge of the page that is loaded first.
  await page.reload()
  await isInstalledBeside(page, BUILD)
  await allWorkersWork(page, server.origin)
  const again = await reopenUnder(context, server.origin, BUILD)
  await isTakenOver(again, BUILD)
  await allWorkersWork(again, server.origin)
  await context.close()
}, 600_000)
