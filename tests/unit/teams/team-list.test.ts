import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import type { Client } from '@/drizzle/client'
import { secureRandom } from '@/server/join/secret-hash'
import { openTeamList } from '@/server/teams/open-team-list'
import { TeamList } from '@/server/teams/team-list'

const HOUR = 3_600_000
const clock = { at: Date.UTC(2026, 4, 2, 8), now: () => clock.at }
let dataFolder: string
let client: Client
let list: TeamList
beforeEach(() => {
  dataFolder = mkdtempSync(join(tmpdir(), 'stagecall-teams-'))
  client = openTeamList({ dataFolder, database: null })
  list = new TeamList(client, clock, secureRandom)
})
afterEach(() => {
  client.close()
  rmSync(dataFolder, { recursive: true })
})

it('an address is one team’s, archived or not, until it is removed', () => {
  expect(list.add('The Rooks', 'rook').ok).toBe(true)
  expect(list.add('Others', 'rook')).toMatchObject({ ok: false, error: { field: 'Address', value: 'rook' } })
  expect(list.remove('rook')).toMatchObject({ ok: false, error: { reason: 'it is still served' } })
  expect(list.archive('rook')).toMatchObject({ ok: true, value: { archivedAt: clock.at } })
  expect(list.add('Others', 'rook').ok).toBe(false)
  expect(list.unarchive('rook')).toMatchObject({ ok: true, value: { archivedAt: null } })
  list.archive('rook')
  expect(list.remove('rook').ok).toBe(true)
  expect(list.all()).toEqual([])
  expect(list.add('Others', 'rook').ok).toBe(true)
  for (const gone of [list.archive('crow'), list.unarchive('crow'), list.remove('crow')])
    expect(gone).toMatchObject({ ok: false, error: { reason: 'no team has it' } })
})

it('an operator’s code makes one team within a day; a refused wish does not use it up', () => {
  const { code, expiresAt } = list.makeCode()
  expect(expiresAt).toBe(clock.at + 24 * HOUR)
  expect(list.addByCode('0'.repeat(16), 'Rooks', 'rook')).toMatchObject({
    error: { field: 'Operator’s code' },
  })
  list.add('Crows', 'crow')
  expect(list.addByCode(code, 'Rooks', 'crow')).toMatchObject({ error: { field: 'Address' } })
  expect(list.isOpen(code)).toBe(true)
  expect(list.addByCode(code, 'Rooks', 'rook').ok).toBe(true)
  expect(list.isOpen(code)).toBe(false)
  expect(list.addByCode(code, 'Jays', 'jay')).toMatchObject({ error: { field: 'Operator’s code' } })
  const late = list.makeCode()
  clock.at += 24 * HOUR
  expect(list.addByCode(late.code, 'Jays', 'jay').ok).toBe(false)
  expect(list.all().map((t) => t.address)).toEqual(['crow', 'rook'])
})

it('codes are kept as hashes alone, and the file is its owner’s', () => {
  const { code } = list.makeCode()
  const rows = client.db.all<Record<string, unknown>>('SELECT * FROM operator_codes')
  expect(rows).toHaveLength(1)
  expect(JSON.stringify(rows)).not.toContain(code)
  expect(statSync(join(dataFolder, 'teams.db')).mode & 0o077).toBe(0)
})

it('another process’s change is seen', () => {
  const before = client.version()
  const beside = openTeamList({ dataFolder, database: null })
  new TeamList(beside, clock, secureRandom).add('Rooks', 'rook')
  beside.close()
  expect(client.version()).not.toBe(before)
  expect(list.get('rook')?.name).toBe('Rooks')
})
