import { setTimeout as sleep } from 'node:timers/promises'
import type { ServerProcess } from '../support/server-process'
import { servesBoard, startPeer } from '../support/several-processes'
import { nameMeeting, readMeetingName, TEAMS_BASE } from '../support/team-phone'
import { makeTeam, type TeamOwn } from '../support/two-teams'
import { FuzzedPostgres } from './fuzz-crew'

const PATIENCE_MS = 60_000

export interface TeamFailovers {
  rounds: number
  teams: number
  acknowledged: number
  /** Acknowledged, and not what the next who came was told. */
  lost: string[]
  /** From the kill to the next acknowledged edit: of the first team that had one, of each team, ms. */
  first: number[]
  each: number[]
}

/** Two processes serve many teams, all of which edit; whichever leads is killed, again and again. */
export async function runTeamFailovers(
  rounds: number,
  teamCount: number,
  log: (line: string) => void,
): Promise<TeamFailovers> {
  const postgres = await FuzzedPostgres.start()
  const servers: ServerProcess[] = []
  const result: TeamFailovers = { rounds, teams: teamCount, acknowledged: 0, lost: [], first: [], each: [] }
  try {
    for (let n = 0; n < 2; n++)
      servers.push(await startPeer(postgres.address, { STAGECALL_TEAMS: TEAMS_BASE, STAGECALL_LOG: 'warn' }))
    const [one, two] = servers as [ServerProcess, ServerProcess]
    const where = { dataFolder: one.dataFolder, database: postgres.address }
    const teams: TeamOwn[] = []
    for (let n = 0; n < teamCount; n++) teams.push(await makeTeam(one.port, where, TEAMS_BASE, `team-${n}`))
    for (let round = 0; round < rounds; round++) {
      const [leader, other] = (await servesBoard(one)) ? [one, two] : [two, one]
      const nameIn = (team: TeamOwn, when: string) => `${team.address}, ${when} round ${round}`
      await Promise.all(teams.map((team) => nameMeeting(other, team, nameIn(team, 'before'))))
      await leader.kill9()
      const told = await Promise.all(
        teams.map((team) => nameMeeting(other, team, nameIn(team, 'after'), PATIENCE_MS)),
      )
      result.acknowledged += 2 * teams.length
      const times = told.map((t) => t.ms)
      result.first.push(Math.min(...times))
      result.each.push(...times)
      await leader.restart()
      const isNow = await Promise.all(teams.map((team) => readMeetingName(leader, team)))
      for (const [n, team] of teams.entries())
        for (const [is, mustBe] of [
          [told[n]?.was, nameIn(team, 'before')],
          [isNow[n], nameIn(team, 'after')],
        ])
          if (is !== mustBe) result.lost.push(`${String(mustBe)}: it is ${String(is)}`)
      log(`${round + 1}: ${Math.round(Math.min(...times))} to ${Math.round(Math.max(...times))} ms`)
      await sleep(500)
    }
    return result
  } finally {
    for (const server of servers) await server.dispose()
    await postgres.server.dispose()
  }
}
