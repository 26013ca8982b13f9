import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { runAdmin } from '@/server/admin/run-admin'
import { lockFolder } from '@/server/storage/folder-lock'

let dataFolder: string
let said: string[]
beforeEach(() => {
  dataFolder = mkdtempSync(join(tmpdir(), 'stagecall-admin-'))
  said = []
  vi.stubEnv('STAGECALL_DATA', dataFolder)
  vi.stubEnv('STAGECALL_TEAMS', 'https://boards.example.org')
  vi.stubEnv('INIT_CWD', dataFolder)
  const say = (text: unknown) => said.push(String(text).trimEnd()) > 0
  vi.spyOn(process.stdout, 'write').mockImplementation(say)
  vi.spyOn(process.stderr, 'write').mockImplementation(say)
})
afterEach(() => {
  vi.restoreAllMocks()
  vi.unstubAllEnvs()
  rmSync(dataFolder, { recursive: true })
})

/** The exit code and what was printed. */
async function admin(...args: string[]): Promise<[number, string]> {
  said = []
  const code = await runAdmin(args, '/')
  return [code, said.join('\n')]
}

describe('npm run admin -- team', () => {
  it('adds a team and prints its first manager’s link, at its own address', async () => {
    const [code, text] = await admin('team', 'add', 'The Rooks', 'Rook')
    expect(code).toBe(0)
    expect(text).toMatch(
      /^https:\/\/rook\.boards\.example\.org\/join#[0-9a-z]{16}\nCode .* first manager of The Rooks/,
    )
    expect(await admin('team', 'list')).toEqual([0, expect.stringMatching(/^rook\tThe Rooks\tmade 2/)])
    const again = await admin('team', 'add', 'Others', 'rook')
    expect(again).toEqual([1, expect.stringContaining('another team has it')])
    expect((await admin('team', 'add', 'Others', 'r'))[1]).toContain('3 to 30 characters')
  })

  it('every other command is about one team, named by --team', async () => {
    await admin('team', 'add', 'The Rooks', 'rook')
    await admin('team', 'add', 'The Crows', 'crow')
    expect(await admin('people')).toEqual([1, expect.stringContaining('name one with --team ADDRESS')])
    expect(await admin('people', '--team', 'jay')).toEqual([1, expect.stringContaining('--team is “jay”')])
    expect(await admin('people', '--team', 'rook')).toEqual([0, 'Nobody has joined yet.'])
    const [, link] = await admin('invite', '--role', 'driver', '--team', 'crow')
    expect(link).toMatch(/^https:\/\/crow\.boards\.example\.org\/join#/)
    expect((await admin('backup', 'copy.db', '--team', 'rook'))[1]).toContain('Backed up')
    expect((await admin('verify', 'copy.db', '--team', 'rook'))[1]).toContain('sound')
    expect((await admin('restore', 'copy.db', '--team', 'rook'))[0]).toBe(0)
  })

  it('takes a board away only once it is archived and saved, and says where', async () => {
    await admin('team', 'add', 'The Rooks', 'rook')
    expect(await admin('team', 'remove', 'rook')).toEqual([1, expect.stringContaining('Archive it first')])
    expect((await admin('team', 'archive', 'rook'))[0]).toBe(0)
    expect((await admin('team', 'list'))[1]).toMatch(/archived 2/)
    expect((await admin('team', 'restore', 'rook'))[1]).toContain('https://rook.boards.example.org')
    await admin('team', 'archive', 'rook')
    const [code, text] = await admin('team', 'remove', 'rook')
    expect(code).toBe(0)
    const file = /saved as (\S+\.db)/.exec(text)?.[1] ?? ''
    expect(existsSync(file)).toBe(true)
    expect(readdirSync(join(dataFolder, 'teams'))).toEqual([])
    expect((await admin('team', 'list'))[1]).toBe('There are no teams yet.')
    // What was saved is a whole board: another team takes it over.
    await admin('team', 'add', 'The New Rooks', 'rook')
    expect(await admin('restore', file, '--team', 'rook')).toEqual([0, expect.stringContaining('Restored')])
  })

  it('leaves a board that a server has open alone', async () => {
    await admin('team', 'add', 'The Rooks', 'rook')
    await admin('team', 'archive', 'rook')
    const lock = lockFolder(join(dataFolder, 'teams', 'rook'))
    const [code, text] = await admin('team', 'remove', 'rook')
    lock?.release()
    expect([code, text]).toEqual([1, expect.stringContaining('still has this team’s board open')])
    expect(readdirSync(join(dataFolder, 'teams'))).toEqual(['rook'])
  }, 15_000)

  it('prints an operator’s code and where it is used', async () => {
    const [code, text] = await admin('team', 'code')
    expect(code).toBe(0)
    expect(text).toMatch(/^Code ([0-9A-Z]{4}-){3}[0-9A-Z]{4} · makes one team/)
    expect(text).toContain('https://boards.example.org/hosting')
  })

  it('one team knows none of it', async () => {
    vi.stubEnv('STAGECALL_TEAMS', '')
    expect(await admin('team', 'list')).toEqual([1, expect.stringContaining('serves one team')])
    expect(await admin('people', '--team', 'rook')).toEqual([1, expect.stringContaining('leave --team out')])
    expect(await admin('people')).toEqual([0, 'Nobody has joined yet.'])
    expect(readdirSync(dataFolder).filter((n) => n.startsWith('teams'))).toEqual([])
  })
})
