import { expect, it, onTestFinished } from 'vitest'
import { digestOfTeam, makeTeam, withTeamList, type TeamOwn } from '../support/two-teams'
import { askAt } from '../support/ask-at'
import { tryCrossTeam, TRIES_EACH_TURN } from '../support/cross-team'
import { START_MS, type ServerProcess } from '../support/server-process'
import { servesBoard, startPeer } from '../support/several-processes'
import { nameMeeting, phoneOfTeam, readMeetingName, TEAMS_BASE } from '../support/team-phone'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()

/** Two processes that serve many teams; the first leads. */
async function startTwo(...addresses: string[]) {
  const database = await postgres.server.database()
  const servers: ServerProcess[] = []
  for (let n = 0; n < 2; n++) {
    const server = await startPeer(database, { STAGECALL_TEAMS: TEAMS_BASE })
    onTestFinished(() => server.dispose())
    servers.push(server)
  }
  const [first, second] = servers as [ServerProcess, ServerProcess]
  const where = { dataFolder: first.dataFolder, database }
  const teams: TeamOwn[] = []
  for (const address of addresses) teams.push(await makeTeam(second.port, where, TEAMS_BASE, address))
  return { database, first, second, where, teams }
}

/** A manager's phone of a team that comes in by this process. */
function phoneOf(server: ServerProcess, team: TeamOwn) {
  const phone = phoneOfTeam(server, team)
  onTestFinished(() => phone.close())
  return phone
}
let edits = 0
/** Gives what was acknowledged. */
async function edit(server: ServerProcess, team: TeamOwn): Promise<string> {
  const name = `${team.address} ${++edits}`
  await nameMeeting(server, team, name)
  return name
}
/** Of a team's kit: whoever has that serves the team. */
const leaseOf = async (database: string, address: string) => {
  const [row] = await postgres.server.ask(
    database,
    `SELECT lease_until::int8 FROM team_${address}.owners AS owners
     JOIN team_${address}.rooms AS rooms ON rooms.id = owners.room_id WHERE rooms.name = 'kit'`,
  )
  return Number(row?.[0])
}

it.skipIf(!hasPostgres)(
  '[P5] two processes serve many teams: one leads all of them, what comes to the other is passed on and tells no more of another team',
  async () => {
    const { first, second, where, teams } = await startTwo('rook', 'crow')
    const [rook, crow] = teams as [TeamOwn, TeamOwn]
    expect([await servesBoard(first), await servesBoard(second)]).toEqual([true, false])
    const digests = () => teams.map((team) => digestOfTeam(where, team.address))
    const before = digests()
    const tried = await tryCrossTeam(second.port, TEAMS_BASE, [crow, rook], 0)
    expect(tried).toHaveLength(TRIES_EACH_TURN)
    expect(tried.flatMap((t) => (t.difference === null ? [] : [`${t.what}: ${t.difference}`]))).toEqual([])
    expect(digests()).toEqual(before)
    const name = await edit(second, rook)
    expect(await readMeetingName(first, rook)).toBe(name)
    expect(await readMeetingName(first, crow)).not.toBe(name)
    for (const server of [first, second])
      expect((await askAt(server.port, { path: '/healthz/ready', host: 'localhost' })).status).toBe(200)
    // A code makes a team at the process that passes on, and archived its phones lose their lines there.
    const code = withTeamList(where, (list) => list.makeCode().code)
    const made = await askAt(second.port, {
      method: 'POST',
      host: `${TEAMS_BASE}:${second.port}`,
      path: '/api/hosting/teams',
      body: { code, name: 'The Kites', address: 'kite' },
    })
    expect(made.status, made.text).toBe(200)
    const phone = phoneOf(second, rook)
    expect(await phone.synced()).toBe(true)
    withTeamList(where, (list) => list.archive('rook'))
    await phone.closed
    expect(phone.session).toMatchObject({ state: 'revoked' })
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P5] [P1] the leader is killed, or told to stop: the other leads all teams, and nothing acknowledged is lost',
  async () => {
    const { database, first, second, teams } = await startTwo('rook', 'crow')
    const [rook, crow] = teams as [TeamOwn, TeamOwn]
    const names = [await edit(second, rook), await edit(first, crow)]
    await first.kill9()
    const after = await edit(second, rook)
    expect(await servesBoard(second)).toBe(true)
    expect([await readMeetingName(second, rook), await readMeetingName(second, crow)]).toEqual([
      after,
      names[1],
    ])
    await first.restart()
    expect(await servesBoard(first)).toBe(false)
    expect(await readMeetingName(first, rook)).toBe(after)
    const waiting = phoneOf(first, crow)
    expect(await waiting.synced()).toBe(true)
    expect(await second.stop()).toBe(0)
    await waiting.closed
    const last = await edit(first, crow)
    expect(await servesBoard(first)).toBe(true)
    expect([await readMeetingName(first, rook), await readMeetingName(first, crow)]).toEqual([after, last])
    expect(await first.stop()).toBe(0)
    for (const address of ['rook', 'crow', 'nobody_'])
      expect(await leaseOf(database, address), address).toBe(0)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P5] [P1] a leader that was paused shows and takes nothing of any team when it wakes up, and passes on from then on',
  async () => {
    const { first, second, teams } = await startTwo('rook')
    const [rook] = teams as [TeamOwn]
    const paused = phoneOf(first, rook)
    expect(await paused.synced()).toBe(true)
    process.kill(first.pid, 'SIGSTOP')
    onTestFinished(() => {
      try {
        process.kill(first.pid, 'SIGCONT')
      } catch {
        // It has ended.
      }
    })
    const name = await edit(second, rook)
    expect(await servesBoard(second)).toBe(true)
    const frames = paused.bytesReceived
    paused.set('meetings', rook.meetingId, 'name', 'from the past')
    const answer = paused.barrier(3_000)
    process.kill(first.pid, 'SIGCONT')
    await paused.closed
    expect(await answer).toBeNull()
    expect(paused.bytesReceived).toBe(frames)
    expect(await readMeetingName(second, rook)).toBe(name)
    expect(await readMeetingName(first, rook)).toBe(name)
    expect(await servesBoard(first)).toBe(false)
    expect(first.running).toBe(true)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P5] [S23] a leader that finds a team’s board in an older state ends, and the other begins another generation of every team',
  async () => {
    const { database, first, second, teams } = await startTwo('rook', 'crow')
    const [rook] = teams as [TeamOwn]
    const ask = async (sql: string) => (await postgres.server.ask(database, sql))[0]?.[0]
    const generations = () =>
      Promise.all(teams.map(({ address }) => ask(`SELECT generation FROM team_${address}.generations`)))
    const before = await generations()
    expect(new Set(before).size).toBe(2)
    await ask('UPDATE team_rook.writers SET head = head - 1')
    const edited = edit(second, rook)
    await expect.poll(() => first.running, { timeout: 20_000 }).toBe(false)
    expect(first.exitCode).toBe(1)
    expect(first.output).toContain('an older state was brought back')
    await edited
    expect(await servesBoard(second)).toBe(true)
    await edit(second, teams[1] ?? rook)
    const after = await generations()
    for (const [n, generation] of after.entries()) {
      expect(generation).toEqual(expect.any(String))
      expect(generation).not.toBe(before[n])
    }
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P5] started at once on an empty database one of two leads; a list of teams of a later version is said at the start',
  async () => {
    const database = await postgres.server.database()
    const start = async () => {
      const server = await startPeer(database, { STAGECALL_TEAMS: TEAMS_BASE })
      onTestFinished(() => server.dispose())
      return server
    }
    const both = await Promise.all([start(), start()])
    expect((await Promise.all(both.map(servesBoard))).sort()).toEqual([false, true])
    for (const server of both) await server.stop()
    await postgres.server.ask(
      database,
      'UPDATE stagecall_teams.__drizzle_migrations SET created_at = created_at + 86400000',
    )
    await expect(start()).rejects.toThrow(/written by a newer version/)
  },
  3 * START_MS,
)
