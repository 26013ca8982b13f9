import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it, vi } from 'vitest'
import { DEMO_MEETING_ID, DEMO_SEASON_IDS } from '@/demo/seed'
import { PIECE_BYTES, type ArchivePlan } from '@/lib/archive'
import { checkArchive } from '@/server/archive/check-archive'
import { ServerProcess, type JoinedClient } from '../../support/server-process'

vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 })

let one: ServerProcess
let other: ServerProcess
let boss: JoinedClient
let away: JoinedClient
let folder: string
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-archive-api-'))
  one = await ServerProcess.start({ demo: true, screens: false })
  other = await ServerProcess.start({ screens: false })
  boss = await one.join('manager', { personId: 'petra-amsel' })
  away = await other.join('manager', { name: 'Nadja' })
})
afterAll(async () => {
  await one.dispose()
  await other.dispose()
  rmSync(folder, { recursive: true, force: true })
})

const post = (path: string, body: unknown, who: JoinedClient = away) =>
  fetch(other.origin + path, {
    method: 'POST',
    headers: {
      cookie: who.cookie,
      'content-type': body instanceof Uint8Array ? 'application/octet-stream' : 'application/json',
    },
    body: body instanceof Uint8Array ? new Uint8Array(body) : JSON.stringify(body),
  })
const json = async <T>(answer: Promise<Response>) => (await (await answer).json()) as T

async function sent(bytes: Uint8Array): Promise<string> {
  const { id } = await json<{ id: string }>(post('/api/imports', { bytes: bytes.length, name: 'a.zip' }))
  for (let at = 0; at < bytes.length; at += PIECE_BYTES)
    expect((await post(`/api/imports/${id}/pieces/${at}`, bytes.subarray(at, at + PIECE_BYTES))).status).toBe(
      200,
    )
  return id
}
const drafts = () => other.files().filter((name) => name.startsWith('import-'))

it('[S27] a manager downloads the team, and another server takes it in after showing what it would do', async () => {
  const got = await fetch(`${one.origin}/api/archive/team`, { headers: { cookie: boss.cookie } })
  expect([got.status, got.headers.get('content-type')]).toEqual([200, 'application/zip'])
  const bytes = new Uint8Array(await got.arrayBuffer())
  writeFileSync(join(folder, 'team.zip'), bytes)
  const checked = await checkArchive(join(folder, 'team.zip'))
  expect(checked.ok).toBe(true)
  if (checked.ok) checked.value.close()

  const id = await sent(bytes)
  const plan = await json<ArchivePlan>(post(`/api/imports/${id}/plan`, {}))
  // The kit, which every server has; the demo's two meetings and its season.
  expect(plan.rooms.map((r) => r.isNew)).toEqual([
    false,
    ...Array<boolean>(2 + DEMO_SEASON_IDS.length).fill(true),
  ])
  const stale = await post(`/api/imports/${id}/take`, { conflicts: 'here', digest: 'another' })
  expect([stale.status, await stale.text()]).toEqual([
    422,
    expect.stringContaining('changed since you looked'),
  ])
  const taken = await post(`/api/imports/${id}/take`, { conflicts: 'here', digest: plan.digest })
  expect(taken.status).toBe(200)
  expect(drafts()).toEqual([])
  const again = await sent(bytes)
  const nothing = await json<ArchivePlan>(post(`/api/imports/${again}/plan`, {}))
  expect(nothing.rooms.flatMap((r) => r.collections)).toEqual([])
  expect((await post(`/api/imports/${again}/drop`, {})).status).toBe(200)
  expect(drafts()).toEqual([])
})

it('[S27] a damaged one is refused in words; nobody but managers sends or gets any', async () => {
  const bytes = readFileSync(join(folder, 'team.zip'))
  const id = await sent(bytes.subarray(0, bytes.length - 500))
  const refused = await post(`/api/imports/${id}/plan`, {})
  expect([refused.status, await refused.text()]).toEqual([422, expect.stringContaining('cut off')])
  await post(`/api/imports/${id}/drop`, {})
  const big = await post('/api/imports', { bytes: 1e12, name: 'a.zip' })
  expect([big.status, await big.text()]).toEqual([422, expect.stringContaining('larger than')])
  const mechanic = await other.join('mechanic', { name: 'Vera' })
  expect((await post('/api/imports', { bytes: 5, name: 'a.zip' }, mechanic)).status).toBe(403)
  for (const path of ['/api/archive/team', `/api/archive/meeting/${DEMO_MEETING_ID}`]) {
    expect((await fetch(other.origin + path, { headers: { cookie: mechanic.cookie } })).status).toBe(403)
    expect((await fetch(other.origin + path)).status).toBe(401)
  }
  const unknown = await fetch(`${other.origin}/api/archive/meeting/nothing`, {
    headers: { cookie: away.cookie },
  })
  expect(unknown.status).toBe(404)
})
