import type { BrowserContext, Page } from 'playwright'
import { expect } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { signIn } from './browser'
import { readBoard } from './read-board'
import type { ServerProcess } from './server-process'

export const JOBS = `/board/${DEMO_MEETING_ID}/jobs`
const MECHANIC = 'ilse-brandt'

/** A mechanic's phone on My jobs of the demo, everything saved. `origin`: where the phone finds the board, if not at the server's own address. */
export async function openJobs(
  context: BrowserContext,
  server: ServerProcess,
  origin = server.origin,
): Promise<Page> {
  await signIn(context, origin, await server.join('mechanic', { personId: MECHANIC }))
  const page = await context.newPage()
  await page.goto(origin + JOBS)
  await page.locator('.job').first().waitFor()
  await page.getByText('all saved on the server').first().waitFor()
  return page
}

/** Says that the next value is fitted; gives the field that it is about. */
export async function fitOne(page: Page): Promise<string> {
  const job = page
    .locator('.job')
    .filter({ has: page.getByRole('button', { name: /is fitted$/ }) })
    .first()
  const [, car, parameter] = ((await job.getAttribute('data-job')) ?? '').split(':')
  await job.getByRole('button').click()
  return `${car}.${parameter}:fitted`
}

/** A value of a card as the server has it. */
export const stampOf = async (server: ServerProcess, key: string) =>
  (await readBoard(server, `meeting-${DEMO_MEETING_ID}`))['cardValues']?.[key] as
    { by: string; at: number } | undefined

/** What the mechanic said is on the server. */
export const arrived = (server: ServerProcess, key: string) =>
  expect.poll(async () => (await stampOf(server, key))?.by, { timeout: 30_000 }).toBe(MECHANIC)
