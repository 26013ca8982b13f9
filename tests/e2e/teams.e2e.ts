import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { axeFindings } from '../support/axe'
import { closeBrowser, laptop, phone } from '../support/browser'
import { ServerProcess } from '../support/server-process'
import { withTeamList } from '../support/two-teams'

let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ env: { STAGECALL_TEAMS: 'localhost' } })))
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

const operatorCode = () =>
  withTeamList({ dataFolder: server.dataFolder, database: null }, (list) => list.makeCode().code)

async function fill(page: Page, code: string, name: string, address: string): Promise<void> {
  await page.getByLabel('Operator’s code').fill(code)
  await page.getByLabel('Team name').fill(name)
  await page.getByLabel('Address').fill(address)
  await page.getByRole('button', { name: 'Make the team' }).click()
}

async function joinAs(page: Page, name: string): Promise<void> {
  await page.getByRole('link', { name: 'Join on this phone' }).click()
  await page.getByLabel('Your name').fill(name)
  await page.getByRole('button', { name: 'Join', exact: true }).click()
  await page.waitForURL(/\/start$/)
}

async function faults(page: Page): Promise<string[]> {
  const setLight = (night: string) =>
    page.evaluate((value) => void (document.documentElement.dataset['night'] = value), night)
  await setLight('off')
  const byDay = await axeFindings(page)
  await setLight('on')
  return [...byDay, ...(await axeFindings(page, ['color-contrast']))]
}

it('a team is made on the hosting page and joined; a second one sees nothing of it', async () => {
  const at = (address: string) => server.origin.replace('//', `//${address}.`)
  const first = await (await phone()).newPage()
  await first.goto(server.origin)
  await first.waitForURL(/\/hosting$/)
  await fill(first, '0'.repeat(16), 'The Rooks', 'rook')
  await first.getByText('it was used already, has expired or never existed').waitFor()
  expect(await faults(first)).toEqual([])
  await fill(first, operatorCode(), 'The Rooks', 'ro ok')
  await first.getByText('it may hold the letters a to z').waitFor()
  await first.getByLabel('Address').fill('rook')
  await first.getByRole('button', { name: 'Make the team' }).click()
  await first.getByRole('heading', { name: 'The Rooks has a board' }).waitFor()
  expect(await first.getByLabel('First manager’s link').inputValue()).toMatch(`${at('rook')}/join#`)
  expect(await faults(first)).toEqual([])
  await joinAs(first, 'Ada Rook')
  await first.goto(`${at('rook')}/crew`)
  await first.getByText('Ada Rook').first().waitFor()

  const second = await (await laptop()).newPage()
  await second.goto(`${server.origin}/hosting`)
  expect(await faults(second)).toEqual([])
  await fill(second, operatorCode(), 'The Crows', 'rook')
  await second.getByText('another team has it').waitFor()
  await second.getByLabel('Address').fill('crow')
  await second.getByRole('button', { name: 'Make the team' }).click()
  await joinAs(second, 'Cy Crow')
  await second.goto(`${at('crow')}/crew`)
  await second.getByText('Cy Crow').first().waitFor()
  expect(await second.locator('main').innerText()).not.toContain('Rook')

  // The first one's phone is a stranger there: no session, nothing kept, and no such page as the hosting one.
  const response = await first.goto(`${at('crow')}/hosting`)
  expect(response?.status()).toBe(404)
  await first.goto(`${at('crow')}/join`)
  await first.getByText('With the code from a manager').waitFor()
  expect(await first.evaluate(async () => (await indexedDB.databases()).map((d) => d.name))).toEqual([])
})
