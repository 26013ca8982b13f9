import type { Page } from 'playwright'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { Role } from '@/lib/core/role'
import { addNotice, readNotice } from '@/server/storage/notices'
import { closeBrowser, phone, signIn } from '../support/browser'
import { ServerProcess } from '../support/server-process'

let server: ServerProcess
beforeAll(async () => {
  server = await ServerProcess.start({ demo: true })
  await server.stop()
  addNotice(server.dataFolder, {
    at: Date.UTC(2026, 4, 2, 8),
    lines: ['SAVED EDITS ARE LOST'],
    losses: [
      {
        after: Date.UTC(2026, 4, 2, 7, 30),
        until: Date.UTC(2026, 4, 2, 7, 41),
        writes: 12,
        people: [{ name: 'Ilse Brandt', edits: 9 }],
      },
    ],
  })
  await server.restart()
})
afterAll(async () => {
  await closeBrowser()
  await server.dispose()
})

async function open(role: Role, personId: string, path: string): Promise<Page> {
  const context = await phone()
  await signIn(context, server.origin, await server.join(role, { personId }))
  const page = await context.newPage()
  await page.goto(server.origin + path)
  await page.getByText('all saved on the server').first().waitFor()
  return page
}
const banner = (page: Page) => page.getByRole('alert').filter({ hasText: 'Saved edits are lost' })

it('[S26] lost edits are told to managers on every screen, in words, until one has read it; to nobody else', async () => {
  const manager = await open('manager', 'petra-amsel', '/board/saltmarsh-autumn-open/order')
  await banner(manager).waitFor()
  const words = await banner(manager).innerText()
  expect(words).toContain('09:30')
  expect(words).toContain('12 writes to the disk')
  expect(words).toContain('Edits by: Ilse Brandt (9).')
  expect(words).toContain('What to do: Open the board on every phone')

  const mechanic = await open('mechanic', 'ilse-brandt', '/kit')
  expect(await banner(mechanic).count()).toBe(0)

  for (const path of ['/kit', '/crew', '/help']) {
    await manager.goto(server.origin + path)
    await banner(manager).waitFor()
  }
  await manager.getByRole('button', { name: 'I have read it' }).click()
  await banner(manager).waitFor({ state: 'detached' })
  expect(readNotice(server.dataFolder)).toBeNull()
  await manager.reload()
  await manager.getByText('all saved on the server').first().waitFor()
  expect(await banner(manager).count()).toBe(0)
}, 120_000)
