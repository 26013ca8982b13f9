import { execFile } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { ServerProcess } from '../../support/server-process'

const ROOT = fileURLToPath(new URL('../../..', import.meta.url))
let folder: string
let server: ServerProcess
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'stagecall-archives-'))
  server = await ServerProcess.start({ demo: true, screens: false })
}, 60_000)
afterAll(async () => {
  await server.dispose()
  rmSync(folder, { recursive: true, force: true })
})

const admin = (dataFolder: string, ...args: string[]) =>
  new Promise<{ code: number; out: string; err: string }>((resolve) => {
    const env = { ...process.env, STAGECALL_DATA: dataFolder, INIT_CWD: folder }
    const child = execFile(
      process.execPath,
      ['server/start.mjs', '--admin', ...args],
      { cwd: ROOT, env },
      (_, out, err) => resolve({ code: child.exitCode ?? -1, out, err }),
    )
  })
const exported = async (dataFolder: string, name: string) => {
  await admin(dataFolder, 'export', name)
  return JSON.parse(readFileSync(join(folder, name), 'utf8')) as Record<string, unknown>
}

it('[S27] archives beside a running server and brings in elsewhere, after asking; the boards are equal', async () => {
  const made = await admin(server.dataFolder, 'archive', 'team.zip')
  expect(made).toMatchObject({ code: 0, out: expect.stringMatching(/^Wrote \d+ parts, \d+ bytes/) as string })
  // Only its owner reads what holds a whole team.
  expect(statSync(join(folder, 'team.zip')).mode & 0o777).toBe(0o600)
  const again = await admin(server.dataFolder, 'archive', 'team.zip')
  expect([again.code, again.err]).toEqual([1, expect.stringContaining('exists already')])
  const beside = await admin(server.dataFolder, 'import', '--yes', 'team.zip')
  expect([beside.code, beside.err]).toEqual([1, expect.stringContaining('The server is running')])

  const other = join(folder, 'other')
  const asked = await admin(other, 'import', 'team.zip')
  expect(asked.out).toMatch(/Kit \(new\)\n(.|\n)*Car: \d+ new(.|\n)*Nothing was changed/)
  expect(await exported(other, 'asked.json')).toEqual({})
  const taken = await admin(other, 'import', '--yes', 'team.zip')
  expect([taken.code, taken.out]).toEqual([0, expect.stringMatching(/Imported \d+ values/)])
  expect(await exported(other, 'other.json')).toEqual(await exported(server.dataFolder, 'one.json'))

  const one = await admin(server.dataFolder, 'archive', '--meeting', DEMO_MEETING_ID, 'meeting.zip')
  expect(one.code).toBe(0)
  const before = readdirSync(folder)
  expect((await admin(server.dataFolder, 'archive', '--meeting', 'nothing', 'x.zip')).err).toContain(
    'has nothing of it',
  )
  expect(readdirSync(folder)).toEqual(before)

  const cut = readFileSync(join(folder, 'team.zip')).subarray(0, 4000)
  writeFileSync(join(folder, 'cut.zip'), cut)
  const refused = await admin(other, 'import', '--yes', 'cut.zip')
  expect([refused.code, refused.err]).toEqual([1, expect.stringContaining('cut off')])
}, 120_000)
