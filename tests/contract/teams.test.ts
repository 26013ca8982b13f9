import { existsSync, statSync } from 'node:fs'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { hasPostgres, postgresForTests } from './postgres-under-test'
import { tryCrossTeam, TRIES_EACH_TURN } from '../support/cross-team'
import { teamsServer } from '../support/teams-server'
import {
  digestOfTeam,
  makeTeam,
  meetingRoom,
  withTeamDatabase,
  withTeamList,
  type TeamOwn,
} from '../support/two-teams'
import { people, sessions } from '@/drizzle/schema'
import { runAdmin } from '@/server/admin/run-admin'
import { settingsOfTeam } from '@/server/teams/team-settings'
import { askAt } from '../support/ask-at'
import { ProtocolPhone } from '../attack/protocol-phone'

const postgres = postgresForTests()
const LONG = 30_000

describe.each([['SQLite'], ['PostgreSQL']])('many teams on %s', (engine) => {
  const isHere = engine === 'SQLite' || hasPostgres
  let teams: Awaited<ReturnType<typeof teamsServer>>
  let rook: TeamOwn
  let crow: TeamOwn
  beforeAll(async () => {
    if (!isHere) return
    teams = await teamsServer(engine === 'SQLite' ? null : await postgres.server.database())
    rook = await makeTeam(teams.port, teams.where, teams.base, 'rook')
    crow = await makeTeam(teams.port, teams.where, teams.base, 'crow')
  }, LONG)
  afterAll(() => (isHere ? teams.stop() : undefined))

  it.skipIf(!isHere)(
    'what belongs to another team is answered as what does not exist, and nothing changes',
    async () => {
      const digests = () => [rook, crow].map((team) => digestOfTeam(teams.where, team.address))
      const before = digests()
      const tried = await tryCrossTeam(teams.port, teams.base, [crow, rook], 0)
      tried.push(...(await tryCrossTeam(teams.port, teams.base, [rook, crow], 10)))
      expect(tried).toHaveLength(2 * TRIES_EACH_TURN)
      expect(tried.flatMap((t) => (t.difference === null ? [] : [`${t.what}: ${t.difference}`]))).toEqual([])
      expect(digests()).toEqual(before)
    },
    LONG,
  )

  it.skipIf(engine !== 'SQLite')(
    'asked of its own team all of it is answered otherwise: the comparison can fail',
    async () => {
      // Who asks is another manager than the one that is taken off the board.
      const own = await makeTeam(teams.port, teams.where, teams.base, 'owl', 3)
      const tried = await tryCrossTeam(teams.port, teams.base, [own, own], 10)
      expect(tried.filter((t) => t.difference === null).map((t) => t.what)).toEqual([])
    },
    LONG,
  )

  it.skipIf(!isHere)('the same things are its own team’s to see', async () => {
    const [cookie] = rook.managers
    const ask = (path: string) => askAt(teams.port, { host: rook.host, path, cookie })
    const photo = await ask(`/api/photos/${rook.meetingId}/${rook.photoHash}`)
    expect(photo.text).toBe('a photo of rook')
    expect((await ask(`/api/history?room=${meetingRoom(rook.meetingId)}`)).status).toBe(200)
    expect((await ask('/api/crew/people')).text).toContain('Driver of rook')
    expect((await ask('/api/crew/people')).text).not.toContain('crow')
    const digest = digestOfTeam(teams.where, 'rook')
    withTeamDatabase(teams.where, 'rook', (client) =>
      client.transact(() => client.db.update(sessions).set({ device: 'Another' }).run()),
    )
    // The comparison of digests can fail.
    expect(digestOfTeam(teams.where, 'rook')).not.toBe(digest)
  })

  it.skipIf(!isHere)(
    'archived, a team’s sockets end as a removed phone’s do, and its address is nobody’s until it is restored',
    async () => {
      const jay = await makeTeam(teams.port, teams.where, teams.base, 'jay')
      const at = { host: jay.host, origin: `http://${jay.host}`, cookie: jay.managers[0] }
      const phone = new ProtocolPhone(`ws://127.0.0.1:${teams.port}/sync/kit`, at)
      expect(await phone.synced()).toBe(true)
      expect(withTeamList(teams.where, (list) => list.archive('jay')).ok).toBe(true)
      const code = await phone.closed
      expect(phone.session).toMatchObject({ state: 'revoked' })
      const again = new ProtocolPhone(`ws://127.0.0.1:${teams.port}/sync/kit`, at)
      expect(await again.closed).toBe(code)
      const session = () => askAt(teams.port, { host: jay.host, path: '/api/session', cookie: at.cookie })
      expect((await session()).text).toContain('"session":null')
      withTeamList(teams.where, (list) => list.unarchive('jay'))
      await expect.poll(async () => (await session()).text, { timeout: 5_000 }).toContain('Manager 0 of jay')
    },
    LONG,
  )

  it.skipIf(!isHere)(
    'archived, saved and taken away beside the running server: nothing of it is left but what was saved, and the others stay',
    async () => {
      await makeTeam(teams.port, teams.where, teams.base, 'daw')
      const others = [rook, crow].map((team) => digestOfTeam(teams.where, team.address))
      vi.stubEnv('STAGECALL_DATA', teams.where.dataFolder)
      vi.stubEnv('STAGECALL_TEAMS', teams.base)
      if (teams.where.database !== null) vi.stubEnv('STAGECALL_DATABASE', teams.where.database)
      let said = ''
      const say = (text: unknown) => (said += String(text)) !== ''
      const print = vi.spyOn(process.stdout, 'write').mockImplementation(say)
      const trouble = vi.spyOn(process.stderr, 'write').mockImplementation(say)
      try {
        expect(await runAdmin(['team', 'archive', 'daw'], '/'), said).toBe(0)
        expect(await runAdmin(['team', 'remove', 'daw'], '/'), said).toBe(0)
      } finally {
        print.mockRestore()
        trouble.mockRestore()
        vi.unstubAllEnvs()
      }
      const kept =
        new RegExp(`${teams.where.dataFolder}/removed-teams/daw-\\S+\\.(?:db|zip)`).exec(said)?.[0] ?? ''
      expect(statSync(kept).size).toBeGreaterThan(1_000)
      expect(withTeamList(teams.where, (list) => list.get('daw'))).toBeNull()
      expect(existsSync(settingsOfTeam(teams.where, 'daw').dataFolder)).toBe(false)
      expect([rook, crow].map((team) => digestOfTeam(teams.where, team.address))).toEqual(others)
      // A team that is called so later begins with nothing.
      withTeamList(teams.where, (list) => list.add('Daws', 'daw'))
      expect(withTeamDatabase(teams.where, 'daw', (client) => client.db.select().from(people).all())).toEqual(
        [],
      )
    },
    LONG,
  )

  it.skipIf(!isHere)('an operator’s code makes a team at the hosting page, once', async () => {
    const code = withTeamList(teams.where, (list) => list.makeCode().code)
    const make = (body: unknown) => teams.ask(null, '/api/hosting/teams', { method: 'POST', body })
    const wish = { code, name: 'The Kites', address: 'kite' }
    expect((await make({ ...wish, address: 'rook' })).text).toContain('another team has it')
    expect((await make({ ...wish, address: 'k!' })).status).toBe(422)
    expect((await make({ ...wish, name: '' })).text).toContain('it is blank')
    // Without a code nothing is said of addresses.
    const strange = await make({ ...wish, code: '0'.repeat(16), address: 'rook' })
    expect(strange.status).toBe(422)
    expect(strange.text).toContain('it was used already, has expired or never existed')
    const made = await make(wish)
    expect(made.status).toBe(200)
    const answer = JSON.parse(made.text) as { link: string; code: string }
    expect(answer.link).toBe(`http://${teams.hostOf('kite')}/join#${answer.code}`)
    const joined = await teams.ask('kite', '/api/join', {
      method: 'POST',
      body: { code: answer.code, name: 'Kit' },
    })
    expect(joined.status).toBe(200)
    expect((await make({ ...wish, address: 'kite-2' })).text).toContain('it was used already')
  })

  it.skipIf(!isHere)('figures and health are of all teams together, and name none', async () => {
    const metrics = await askAt(teams.port, { host: 'localhost', path: '/metrics' })
    expect(metrics.text).toMatch(/stagecall_serves_board 1\n/)
    expect(Number(/stagecall_turns_total (\d+)/.exec(metrics.text)?.[1])).toBeGreaterThan(2)
    const health = await teams.ask('rook', '/healthz')
    expect(health.status).toBe(200)
    expect(health.text).toBe((await teams.ask('no-such-team', '/healthz')).text)
    for (const { text } of [metrics, health]) expect(text).not.toMatch(/rook|crow|jay|kite/i)
  })

  it.skipIf(!isHere)('only teams’ addresses and the hosting page are answered', async () => {
    for (const host of [
      'localhost',
      '127.0.0.1',
      'evil.example',
      `www.${teams.base}`,
      `a.rook.${teams.base}`,
    ])
      expect((await askAt(teams.port, { host, path: '/api/session' })).status, host).toBe(421)
    expect((await teams.ask(null, '/')).headers.location).toBe('/hosting')
    for (const path of ['/join', '/sw.js', '/crew', '/healthzz'])
      expect((await teams.ask(null, path)).status, path).toBe(404)
    // Whoever opens a page by a wrong address is led to the one there is.
    const page = await teams.ask(null, '/crew', { headers: { accept: 'text/html,*/*' } })
    expect([page.status, page.headers.location]).toEqual([302, '/hosting'])
    expect((await teams.ask(null, '/api/session')).status).toBe(404)
    const socket = new ProtocolPhone(`ws://127.0.0.1:${teams.port}/sync/kit`, { host: teams.hostOf(null) })
    expect(await socket.closed).toBe(-404)
    // And the page's own address is nothing special at a team's.
    const making = { method: 'POST' as const, body: { code: '', name: '', address: '' } }
    const [there, nowhere] = [
      await teams.ask('rook', '/api/hosting/teams', making),
      await teams.ask('rook', '/api/no-such-thing', making),
    ]
    expect([there.status, nowhere.status]).toEqual([404, 404])
  })
})
