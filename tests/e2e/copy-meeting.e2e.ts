import { afterAll, beforeAll, expect, it } from 'vitest'
import { closeBrowser, phone, signIn } from '../support/browser'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const PAST = 'Saltmarsh Autumn Open'
const TRIES = 5

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** Records of a collection that are there at all, whatever their fields. */
const recordsOf = (board: Record<string, Record<string, unknown>>, collection: string, field: string) =>
  Object.keys(board[collection] ?? {}).filter((key) => key.endsWith(`:${field}`)).length

it('[S8] [S20] a copied meeting is on the server whole each time, from a slow phone on a slow network', async () => {
  const past = await readBoard(server, 'meeting-saltmarsh-autumn-open')
  const want = {
    classes: recordsOf(past, 'classes', 'name'),
    rounds: recordsOf(past, 'rounds', 'name'),
    fitted: recordsOf(past, 'cardValues', 'fitted'),
  }
  expect(want.fitted).toBeGreaterThan(20)
  const context = await phone()
  await signIn(context, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  const page = await context.newPage()
  const device = await context.newCDPSession(page)
  await device.send('Emulation.setCPUThrottlingRate', { rate: 4 })
  await device.send('Network.enable')
  const got: unknown[] = []
  for (let i = 1; i <= TRIES; i++) {
    // Every other time the network is slow too: which of the page and the new board's storage is first must not matter.
    const latency = i % 2 ? 0 : 150
    await device.send('Network.emulateNetworkConditions', {
      offline: false,
      latency,
      downloadThroughput: -1,
      uploadThroughput: -1,
    })
    await page.goto(`${server.origin}/board/new`)
    await page.getByLabel('Meeting name').fill(`Copy ${i}`)
    await page.getByRole('button', { name: /Copy from/ }).click()
    await page.getByRole('option', { name: PAST }).click()
    await page.getByRole('button', { name: 'Start the meeting' }).click()
    await page.waitForURL(/\/board\/(?!new)[^/]+\/setup/)
    const meetingId = new URL(page.url()).pathname.split('/')[2] ?? ''
    await page.getByText('all saved on the server').first().waitFor()
    const board = await readBoard(server, `meeting-${meetingId}`)
    got.push({
      classes: recordsOf(board, 'classes', 'name'),
      rounds: recordsOf(board, 'rounds', 'name'),
      fitted: recordsOf(board, 'cardValues', 'fitted'),
    })
    expect(await page.getByText('Refused').count()).toBe(0)
  }
  expect(got).toEqual(Array.from({ length: TRIES }, () => want))
  await context.close()
}, 180_000)
