import 'fake-indexeddb/auto'
import { IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { addNote, addRecord, changeRecord, createMeeting, type EditContext } from '@/lib/board'
import type { SyncClient } from '@/app/sync/sync-client'
import { systemClock } from '@/lib/core/clock'
import { backupCommand, restoreCommand } from '@/server/admin/file-commands'
import { readSettings } from '@/server/env'
import { must } from '@/tests/support/must'
import { readBoard } from '@/tests/support/read-board'
import { ServerProcess } from '@/tests/support/server-process'
import { TestPhone } from '@/tests/support/test-phone'

const NAMES = ['mo', 'ma', 'mi'] as const
type Name = (typeof NAMES)[number]
let server: ServerProcess
let phones: Record<Name, TestPhone>

async function phoneOf(name: Name): Promise<TestPhone> {
  const { cookie, ...joined } = await server.join(name === 'ma' ? 'manager' : 'mechanic', { name })
  const { token: _, ...session } = joined
  return new TestPhone({
    url: () => `ws://127.0.0.1:${server.port}/sync`,
    cookie,
    askSession: () => Promise.resolve({ reached: true, session }),
  })
}
const context = (page: SyncClient): EditContext => {
  const { membership } = page.snapshot()
  const open = page.meetingBoard ?? page.kitBoard
  if (membership.state !== 'member' || !open) throw new Error('No board is open')
  return open.context(membership.session)
}
const until = (holds: () => void) => vi.waitFor(holds, { timeout: 25_000, interval: 20 })
const saved = (page: SyncClient) =>
  until(() => expect(page.snapshot()).toMatchObject({ online: true, pending: 0, fetching: false }))
const told = (page: SyncClient) => page.snapshot().drafts.map((d) => d.words)
const admin = () => ({
  settings: readSettings({ STAGECALL_DATA: server.dataFolder }, server.dataFolder),
  clock: systemClock,
  folder: server.dataFolder,
  origins: [],
  print: () => undefined,
})

beforeEach(async () => {
  globalThis.indexedDB = new IDBFactory()
  server = await ServerProcess.start({ screens: false, env: { STAGECALL_LOG: 'warn' } })
  phones = { mo: await phoneOf('mo'), ma: await phoneOf('ma'), mi: await phoneOf('mi') }
}, 60_000)
afterEach(async () => {
  for (const phone of Object.values(phones)) await phone.close()
  await server.dispose()
}, 60_000)

const CASES: { order: Name[]; stays: boolean; restores: 1 | 2 }[] = [
  { order: ['mo', 'ma', 'mi'], stays: true, restores: 1 },
  { order: ['mo', 'mi', 'ma'], stays: false, restores: 1 },
  { order: ['ma', 'mo', 'mi'], stays: false, restores: 2 },
  { order: ['ma', 'mi', 'mo'], stays: true, restores: 2 },
  { order: ['mi', 'mo', 'ma'], stays: false, restores: 1 },
  { order: ['mi', 'ma', 'mo'], stays: true, restores: 1 },
]

describe('[S23] the real server, backed up and restored by its admin commands', () => {
  it.each(CASES)(
    '$order come back, pages open: $stays, restores: $restores',
    async ({ order, stays, restores }) => {
      for (const name of NAMES) await saved(await phones[name].visit())
      const meeting = must(
        createMeeting(context(phones.ma.page), {
          name: 'Spring',
          startsAt: Date.now(),
          trackId: null,
          copiedFrom: null,
        }),
      )
      await saved(phones.ma.page)
      const packs: Partial<Record<Name, string>> = {}
      for (const name of NAMES) {
        packs[name] = must(addRecord(context(phones[name].page), 'kit', 'packs', { label: `P-${name}` }))
        await saved(phones[name].page)
        await phones[name].page.openMeeting(meeting)
        await saved(phones[name].page)
      }
      await backupCommand(admin(), 'noon.backup')
      for (const name of NAMES) {
        must(
          changeRecord(context(phones[name].page), 'kit', 'packs', packs[name] ?? '', {
            label: `lost ${name}`,
          }),
        )
        must(addNote(context(phones[name].page), { about: 'meeting', text: `saved ${name}` }))
        await saved(phones[name].page)
      }
      await server.stop()
      for (const name of NAMES)
        must(addNote(context(phones[name].page), { about: 'meeting', text: `unsent ${name}` }))
      if (!stays) for (const name of NAMES) await phones[name].close()
      for (let n = 0; n < restores; n++) {
        restoreCommand(admin(), 'noon.backup')
        // Between two restores the server runs with nobody there.
        if (n + 1 < restores && !stays) {
          await server.restart()
          await server.stop()
        }
      }
      await server.restart()
      for (const name of order) {
        // The kit alone is opened: the meeting is walked.
        if (!stays) await phones[name].visit()
        await saved(phones[name].page)
      }
      for (const name of NAMES) {
        const { page } = phones[name]
        await until(() =>
          expect(told(page).sort()).toEqual(
            [
              `Note saved ${name}, About: meeting`,
              `Note saved ${name}, Note: saved ${name}`,
              `Pack lost ${name}, Pack label: lost ${name}`,
            ].sort(),
          ),
        )
        await page.openMeeting(meeting)
        await saved(page)
        must(changeRecord(context(page), 'kit', 'packs', packs[name] ?? '', { label: `next ${name}` }))
        must(addNote(context(page), { about: 'meeting', text: `next ${name}` }))
        await saved(page)
      }
      const notes = Object.entries((await readBoard(server, `meeting-${meeting}`))['notes'] ?? {})
      const texts = notes.flatMap(([key, v]) => (key.endsWith(':text') ? [(v as { v: string }).v] : []))
      expect(texts.sort()).toEqual(NAMES.flatMap((n) => [`next ${n}`, `unsent ${n}`]).sort())
    },
    120_000,
  )
})
