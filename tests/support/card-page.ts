import type { Page } from 'playwright'
import { placesAreFree } from './browser'

const row = (page: Page, label: string) => page.getByRole('group', { name: new RegExp(`^${label}:`) })

/** Everything that can be done with one value of the open card. */
async function openValue(page: Page, label: string, tab: RegExp) {
  await placesAreFree(page)
  await row(page, label).getByRole('button').first().click()
  const sheet = page.getByRole('dialog')
  await sheet.getByRole('tab', { name: tab }).click()
  return sheet
}

/** Assign a value on the open card, as a person does: in its sheet, with a reason. */
export async function assign(page: Page, label: string, value: string, why: string): Promise<void> {
  const sheet = await openValue(page, label, /^Assign$/)
  await sheet.getByRole('textbox', { name: 'Assigned value', exact: true }).fill(value)
  await sheet.getByRole('textbox', { name: /^Why\?/ }).fill(why)
  await sheet.getByRole('button', { name: /^Assign \d/ }).click()
  await sheet.waitFor({ state: 'hidden' })
}

/** The lines of a value's history on the open card, newest first. Leaves the sheet open. */
export async function historyOf(page: Page, label: string) {
  const sheet = await openValue(page, label, /^History$/)
  return sheet.locator('.history-row')
}

/** Add a note to the open card. */
export async function addNote(page: Page, text: string): Promise<void> {
  await page.getByRole('textbox', { name: 'New note' }).fill(text)
  await page.getByRole('button', { name: 'Add the note' }).click()
}
