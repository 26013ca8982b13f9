import type { BrowserContext, Page } from 'playwright'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { closeBrowser, laptop, phone, placesAreFree, signIn } from '../support/browser'
import { addNote, assign } from '../support/card-page'
import { deadSpot } from '../support/dead-spot'
import { readBoard } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const MEETING = 'saltmarsh-autumn-open'
const ROOM = `meeting-${MEETING}`
const CARD = `/board/${MEETING}/card/rook`

let server: ServerProcess
let boss: BrowserContext
let crew: Page
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  boss = await laptop()
  await signIn(boss, server.origin, await server.join('manager', { personId: 'petra-amsel' }))
  crew = await boss.newPage()
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

/** The manager sends the only phone of a person away, on the crew page. */
async function sendAway(name: string): Promise<void> {
  await crew.goto(`${server.origin}/crew`)
  await crew.getByRole('button', { name: new RegExp(`^Remove: .* of ${name}$`) }).click()
  await crew.getByRole('alertdialog').getByRole('button', { name: 'Remove it' }).click()
  await crew
    .getByRole('button', { name: new RegExp(`^Remove: .* of ${name}$`) })
    .waitFor({ state: 'detached' })
}

async function openCard(context: BrowserContext): Promise<Page> {
  const page = await context.newPage()
  await page.goto(server.origin + CARD)
  await page.getByRole('group', { name: /^Pinion:/ }).waitFor()
  await page.getByText('all saved on the server').first().waitFor()
  return page
}

const noteTexts = async () =>
  Object.values((await readBoard(server, ROOM))['notes'] ?? {}).map((n) => (n as { v?: string }).v)

describe('a phone that a manager sends away', () => {
  it('[S11] loses its sockets and its board at once', async () => {
    const context = await phone()
    await signIn(context, server.origin, await server.join('mechanic', { personId: 'bas-verhoef' }))
    const page = await context.newPage()
    const sockets: { url: string; isClosed: () => boolean }[] = []
    page.on('websocket', (ws) => sockets.push({ url: ws.url(), isClosed: () => ws.isClosed() }))
    await page.goto(server.origin + CARD)
    await page.getByRole('group', { name: /^Pinion:/ }).waitFor()
    await page.getByText('all saved on the server').first().waitFor()
    expect(sockets.filter((s) => !s.isClosed()).length).toBeGreaterThanOrEqual(2)

    await sendAway('Bas Verhoef')
    await page.getByRole('heading', { name: 'This phone was removed' }).waitFor()
    await page.getByText('Everything you changed was already on the server.').waitFor()
    expect(await page.getByRole('group', { name: /^Pinion:/ }).count()).toBe(0)
    await expect.poll(() => sockets.filter((s) => !s.isClosed())).toEqual([])
    // Nor does it come back by itself: neither with a reload nor to any other page.
    await page.reload()
    await page
      .getByText('I have a code', { exact: true })
      .or(page.getByText('This phone was removed'))
      .waitFor()
    expect(await page.getByRole('group', { name: /^Pinion:/ }).count()).toBe(0)
    await context.close()
  })

  it('[S11] shows what it had not sent as text to copy, and a new invitation lets it in again', async () => {
    const context = await phone()
    const spot = await deadSpot(context)
    await signIn(context, server.origin, await server.join('mechanic', { personId: 'ilse-brandt' }))
    const page = await openCard(context)
    const before = await readBoard(server, ROOM)

    await spot.enter()
    await page.getByRole('button', { name: '22 t is fitted' }).click()
    await assign(page, 'Pinion', '24', 'revs out early')
    await addNote(page, 'Left rear hub is cracked')
    await page
      .getByText(/only on this phone/)
      .first()
      .waitFor()
    await sendAway('Ilse Brandt')
    await spot.leave()

    await page.getByRole('heading', { name: 'This phone was removed' }).waitFor({ timeout: 30_000 })
    const unsent = page.getByRole('textbox', { name: 'What was not sent' })
    const text = await unsent.inputValue()
    expect(text).toMatch(/Rook, Pinion, Assigned: 24 t/)
    expect(text).toMatch(/Rook, Pinion, Fitted: 22 t/)
    expect(text).toContain('Left rear hub is cracked')
    await page.getByRole('button', { name: 'Copy', exact: true }).click()
    await page.getByText(/^(Copied|Selected)/).waitFor()
    expect(await readBoard(server, ROOM)).toEqual(before)

    // The text survives a reload: it may be an hour until somebody who may enter it comes by.
    await page.reload()
    const linesOf = (t: string) => t.split('\n').sort()
    expect(linesOf(await unsent.inputValue())).toEqual(linesOf(text))

    // With a new code it is a new device of the same person. The old edits are drafts, not edits.
    await page.getByRole('link', { name: 'I have a new code' }).click()
    await page.getByRole('textbox', { name: 'Join code' }).fill(server.invite('mechanic').code)
    await page.getByRole('button', { name: 'Continue' }).click()
    await page.getByText('Ilse Brandt').waitFor()
    await placesAreFree(page)
    await page.getByText('Ilse Brandt').click()
    await placesAreFree(page)
    await page.getByRole('button', { name: 'Join', exact: true }).click()
    await page.waitForURL(/\/jobs$/)
    await page.goto(server.origin + CARD)
    await page
      .getByText(/\d+ refused/)
      .first()
      .click()
    const drafts = page.getByRole('dialog').getByRole('textbox', { name: 'What you wrote' })
    // The sheet comes when it is asked for.
    await drafts.first().waitFor()
    const kept = await drafts.evaluateAll((all) => all.map((t) => (t as HTMLTextAreaElement).value))
    for (const line of text.split('\n')) expect(kept).toContain(line)
    await page.keyboard.press('Escape')
    expect(await noteTexts()).not.toContain('Left rear hub is cracked')

    await addNote(page, 'Back with a new code')
    await page.getByText('all saved on the server').first().waitFor()
    await expect.poll(noteTexts).toContain('Back with a new code')
    await context.close()
  }, 120_000)
})
