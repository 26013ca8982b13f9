import {
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs'
import { closeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import type { SqliteClient } from '@/drizzle/client'
import { DATABASE_FILE } from '@/server/storage/database-file'
import { openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { RESERVED_BYTES, tendLog } from '@/server/storage/write-ahead-log'
import { endOfLog } from '../../support/end-of-log'

let folder: string
let client: SqliteClient
let store: SqliteStore
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-log-'))
  client = openDatabase(folder)
  store = new SqliteStore(client)
})
afterEach(() => {
  client.close()
  rmSync(folder, { recursive: true })
})

const file = (name: string) => join(folder, name)
const LOG = `${DATABASE_FILE}-wal`
const sizeOfLog = () => statSync(file(LOG)).size
const commit = (value: number) =>
  store.commit({ updates: [{ room: 'kit', update: Uint8Array.of(1, value), at: 1 }], authors: [], audit: [] })

function tend(freeBytes = 1e12) {
  const warnings: unknown[] = []
  const looks: (() => void)[] = []
  tendLog({
    client,
    dataFolder: folder,
    every: (_, run) => {
      looks.push(run)
      return () => undefined
    },
    warn: (e) => warnings.push(e),
    freeBytes: () => freeBytes,
  })
  return { look: () => looks.forEach((run) => run()), warnings }
}

/** What a power cut would leave of these files, opened again. */
function afterPowerCut(files: readonly string[]): Uint8Array[] {
  const copy = file('copy')
  mkdirSync(copy)
  try {
    for (const name of files) copyFileSync(file(name), join(copy, name))
    const opened = openDatabase(copy)
    try {
      return new SqliteStore(opened).load('kit').updates
    } finally {
      opened.close()
    }
  } finally {
    rmSync(copy, { recursive: true })
  }
}
const BOTH = [DATABASE_FILE, LOG]

it('[S7] the log has its room from the start, and commits stay inside it', () => {
  const { warnings } = tend()
  expect(sizeOfLog()).toBe(RESERVED_BYTES)
  for (let i = 0; i < 50; i++) commit(i)
  expect(sizeOfLog()).toBe(RESERVED_BYTES)
  expect(warnings).toEqual([])
})

it('[S12] what was committed into the reserved room is there after a power cut', () => {
  tend()
  commit(1)
  commit(2)
  expect(afterPowerCut(BOTH)).toEqual([Uint8Array.of(1, 1), Uint8Array.of(1, 2)])
  // It stood in the log alone.
  expect(afterPowerCut([DATABASE_FILE])).toEqual([])
})

it('[S12] half a record behind the last commit is no record', () => {
  tend()
  commit(1)
  const end = endOfLog(file(LOG))
  commit(2)
  const both = readFileSync(file(LOG))
  expect(endOfLog(file(LOG))).toBeGreaterThan(end)
  const fd = openSync(file(LOG), 'r+')
  try {
    // Of the second commit only the first hundred bytes reached the disk.
    writeSync(fd, new Uint8Array(both.length - end - 100), 0, both.length - end - 100, end + 100)
    expect(afterPowerCut(BOTH)).toEqual([Uint8Array.of(1, 1)])
  } finally {
    writeSync(fd, both, 0, both.length, 0)
    closeSync(fd)
  }
  expect(afterPowerCut(BOTH)).toHaveLength(2)
})

it('is folded into the database file in the first moment in which nothing is written', () => {
  const { look } = tend()
  commit(1)
  look()
  expect(afterPowerCut([DATABASE_FILE])).toEqual([])
  look()
  expect(afterPowerCut([DATABASE_FILE])).toEqual([Uint8Array.of(1, 1)])
  // The next commit starts at the front again.
  commit(2)
  expect(endOfLog(file(LOG))).toBeLessThan(20 * 4120)
  expect(afterPowerCut(BOTH)).toHaveLength(2)
  expect(sizeOfLog()).toBe(RESERVED_BYTES)
})

it('gets its room back after another program has cut it off', () => {
  const { look } = tend()
  commit(1)
  const other = openDatabase(folder)
  other.connection.pragma('wal_checkpoint(TRUNCATE)')
  other.close()
  expect(sizeOfLog()).toBe(0)
  commit(2)
  look()
  look()
  expect(sizeOfLog()).toBe(RESERVED_BYTES)
  commit(3)
  expect(afterPowerCut(BOTH)).toHaveLength(3)
})

it('takes no room from a disk that has little left', () => {
  const { warnings } = tend(100e6)
  expect(sizeOfLog()).toBeLessThan(RESERVED_BYTES)
  commit(1)
  expect(afterPowerCut(BOTH)).toHaveLength(1)
  expect(warnings).toEqual([])
})

it('says once that it can’t be looked after, and again when it fails anew', () => {
  const { look, warnings } = tend()
  const real = client.connection.pragma.bind(client.connection)
  const broken = () => {
    throw Object.assign(new Error('full'), { code: 'SQLITE_FULL' })
  }
  const write = (value: number) => {
    commit(value)
    look()
    look()
  }
  client.connection.pragma = broken
  write(1)
  write(2)
  expect(warnings).toEqual([expect.objectContaining({ trouble: 'disk-full' })])
  client.connection.pragma = real
  write(3)
  client.connection.pragma = broken
  write(4)
  expect(warnings).toHaveLength(2)
  client.connection.pragma = real
})
