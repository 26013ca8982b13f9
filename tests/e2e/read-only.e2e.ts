import type { Page } from 'playwright'
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest'
import { closeBrowser, isWhole, phone, signIn } from '../support/browser'
import { addNote, assign } from '../support/card-page'
import { Disk } from '../support/disk'
import { readBoard, stockClient } from '../support/read-board'
import { ServerProcess } from '../support/server-process'

const MEETING = 'saltmarsh-autumn-open'
const ROOM = `meeting-${MEETING}`
const CARD = `/board/${MEETING}/card/rook`
const SAVED = 'all saved on the server'
const STOPPED = /can’t save right now/

const disk = new Disk()
let server: ServerProcess
beforeAll(async () => void (server = await ServerProcess.start({ demo: true, env: disk.env })))
beforeEach(() => disk.free())
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
  disk.dispose()
})

async function phoneOf(personId: string): Promise<Page> {
  const context = await phone()
  await signIn(context, server.origin, await server.join('mechanic', { personId }))
  const page = await context.newPage()
  await page.goto(server.origin + CARD)
  await pinion(page).waitFor()
  await page.getByText(SAVED).first().waitFor()
  // What the sheet behind the header needs comes once the page stands, and one of these tests takes the network away.
  await isWhole(page)
  return page
}
const pinion = (page: Page) => page.getByRole('group', { name: /^Pinion:/ })
const stopped = (page: Page) => page.getByRole('alert').filter({ hasText: STOPPED })
const unsaved = (page: Page) => page.getByText(/\d+ changes? only on this phone/).first()
const marks = (page: Page) => pinion(page).locator('[data-mark=phone]')

/** Writes down from now on everything that the header says. */
const listen = (page: Page) =>
  page.evaluate(() => {
    const said: string[] = []
    Object.assign(window, { said })
    const look = () => said.push(document.querySelector('.top-saved')?.textContent ?? '')
    new MutationObserver(look).observe(document.querySelector('header')!, {
      subtree: true,
      childList: true,
      characterData: true,
    })
    look()
  })
const heard = (page: Page) => page.evaluate(() => (window as unknown as { said: string[] }).said)

it('[S7] [S8] [S12] the server’s disk is full: every phone says so, edits wait marked on their phones, and arrive when there is room', async () => {
  const [ilse, bas] = await Promise.all([phoneOf('ilse-brandt'), phoneOf('bas-verhoef')])
  for (const page of [ilse, bas]) await page.getByText('2 phones').waitFor()
  const observer = stockClient(server, await server.join('guest', { name: 'Family' }), ROOM)
  await observer.synced
  const seen = () => observer.doc.getMap('cardValues').toJSON()
  const noteTexts = () =>
    Object.values(observer.doc.getMap('notes').toJSON()).map((n) => (n as { v?: string }).v)
  const before = await readBoard(server, ROOM)
  expect(await stopped(ilse).count()).toBe(0)

  disk.fill()
  await ilse.getByRole('button', { name: '22 t is fitted' }).click()
  // The one who made the change, and the one who only looks on.
  for (const page of [ilse, bas]) {
    await stopped(page).waitFor()
    const words = await stopped(page).innerText()
    expect(words).toContain('disk is full')
    expect(words).toContain('on this phone')
    expect(words).not.toMatch(/SQLITE|error|exception|undefined/i)
  }
  await unsaved(ilse).waitFor()
  await Promise.all([listen(ilse), listen(bas)])
  expect(await marks(ilse).first().innerText()).toBe('this phone')
  // Nothing of his own waits on the other phone, and he does not see what the server could not keep.
  expect(await unsaved(bas).count()).toBe(0)
  expect(await marks(bas).count()).toBe(0)
  await bas.getByRole('button', { name: '22 t is fitted' }).waitFor()

  // Work goes on, on both phones.
  await addNote(ilse, 'Left rear hub is cracked')
  await assign(bas, 'Spur', '79', 'runs hot')
  await unsaved(bas).waitFor()
  expect((await heard(bas)).at(-1)).toMatch(/only on this phone/)

  // The sheet behind the header lists what waits, in words.
  await unsaved(ilse).click()
  const sheet = ilse.getByRole('dialog')
  await sheet.getByText(STOPPED).waitFor()
  const waits = await sheet.getByRole('textbox', { name: 'Only on this phone' }).inputValue()
  expect(waits).toMatch(/Card value Rook, Pinion, Fitted: 22 t/)
  expect(waits).toContain('Left rear hub is cracked')
  await ilse.keyboard.press('Escape')
  await sheet.waitFor({ state: 'hidden' })
  expect((await heard(ilse)).filter((t) => t.includes(SAVED))).toEqual([])

  // A page that is opened anew still has the edits, still marks them, and still says why.
  await ilse.reload()
  await stopped(ilse).waitFor()
  await unsaved(ilse).waitFor()
  await listen(ilse)
  await marks(ilse).first().waitFor()
  await ilse.getByText('Left rear hub is cracked').waitFor()
  expect(await ilse.getByText(SAVED).count()).toBe(0)

  await addNote(ilse, 'Second note')
  await ilse.getByText('Note added, on this phone only').waitFor()
  for (const page of [ilse, bas]) {
    const said = await heard(page)
    const fromEdit = said.slice(said.findIndex((t) => t.includes('only on this phone')))
    expect(fromEdit.filter((t) => t.includes(SAVED))).toEqual([])
  }
  expect(seen()).toEqual(before['cardValues'])
  expect(noteTexts()).not.toContain('Left rear hub is cracked')

  disk.free()
  for (const page of [ilse, bas]) {
    await page.getByText(SAVED).first().waitFor({ timeout: 30_000 })
    await stopped(page).waitFor({ state: 'detached' })
    expect(await marks(page).count()).toBe(0)
    expect(await page.getByText(/refused/).count()).toBe(0)
  }
  await bas.getByText('Left rear hub is cracked').waitFor()
  await expect.poll(() => seen()['rook.pinion:fitted']).toMatchObject({ v: 22, by: 'ilse-brandt' })
  expect(seen()['rook.spur:assigned']).toMatchObject({ v: 79, by: 'bas-verhoef' })
  expect(noteTexts()).toEqual(expect.arrayContaining(['Left rear hub is cracked', 'Second note']))
  observer.close()

  // And saved means saved.
  await server.kill9()
  await server.restart()
  const after = await readBoard(server, ROOM)
  expect(after['cardValues']?.['rook.pinion:fitted']).toMatchObject({ v: 22, by: 'ilse-brandt' })
  expect(after['cardValues']?.['rook.spur:assigned']).toMatchObject({ v: 79, by: 'bas-verhoef' })
  await ilse.context().close()
  await bas.context().close()
}, 180_000)

it('[S7] [S8] [S12] the server is switched off while its disk is full, and on again: what waited on the phone arrives', async () => {
  const bas = await phoneOf('bas-verhoef')
  disk.fill()
  await assign(bas, 'Pinion', '26', 'track dried out')
  await stopped(bas).waitFor()
  await unsaved(bas).waitFor()

  await server.kill9()
  // Whoever switches it on is told what to do first.
  await expect(server.restart()).rejects.toThrow(/the disk is full; free some space/)
  await bas.getByRole('alert').filter({ hasText: STOPPED }).waitFor({ state: 'detached' })
  await unsaved(bas).click()
  const sheet = bas.getByRole('dialog')
  await sheet.getByText('No connection.').waitFor()
  expect(await sheet.getByRole('textbox', { name: 'Only on this phone' }).inputValue()).toContain(
    'Card value Rook, Pinion, Assigned: 26 t',
  )
  await bas.keyboard.press('Escape')
  await sheet.waitFor({ state: 'hidden' })

  disk.free()
  await server.restart()
  await bas.getByText(SAVED).first().waitFor({ timeout: 30_000 })
  expect((await readBoard(server, ROOM))['cardValues']?.['rook.pinion:assigned']).toMatchObject({
    v: 26,
    by: 'bas-verhoef',
  })
  await bas.context().close()
}, 120_000)
