import { mkdtempSync, readFileSync, rmSync, writeFileSync, cpSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { readGeneration } from '@/drizzle/generation'
import { clearNotice, readNotice } from '@/server/storage/notices'
import { openBoard } from '@/server/storage/open-board'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { endOfLog } from '../../support/end-of-log'

it('[S26] [S23] the end of a log that is gone is told with how much it was, begins another generation, and is said until it was read', () => {
  const base = mkdtempSync(join(tmpdir(), 'stagecall-notice-'))
  const [data, killed] = [join(base, 'data'), join(base, 'killed')]
  const { client } = openBoard(data, 1)
  const generation = readGeneration(client)
  const store = new SqliteStore(client)
  for (let i = 0; i < 5; i++)
    store.commit({ updates: [{ room: 'kit', update: Uint8Array.of(0, 0), at: i }], authors: [], audit: [] })
  cpSync(data, killed, { recursive: true })
  client.close()
  const log = join(killed, 'board.db-wal')
  const bytes = readFileSync(log)
  // The last page that was written is damaged: no later one holds it.
  const at = endOfLog(log) - 4096
  for (let i = at; i < at + 4096; i += 8) bytes[i] = (bytes[i] ?? 0) ^ 255
  writeFileSync(log, bytes)
  const opened = openBoard(killed, 2)
  expect(opened.told.join('\n')).toMatch(
    /SAVED EDITS ARE LOST[^]*is missing: 1 write to the disk\.[^]*What to do/,
  )
  expect(readGeneration(opened.client)).not.toBe(generation)
  expect(new SqliteStore(opened.client).load('kit').updates).toHaveLength(4)
  opened.client.close()
  const again = openBoard(killed, 3)
  expect(again.told).toEqual([])
  again.client.close()
  expect(readNotice(killed)?.lines).toEqual(opened.told)
  clearNotice(killed)
  expect(readNotice(killed)).toBeNull()
  rmSync(base, { recursive: true })
})
