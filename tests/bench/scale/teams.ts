import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { settingsOfTeam } from '@/server/teams/team-settings'
import { askAt } from '../../support/ask-at'
import type { ServerProcess } from '../../support/server-process'
import { TEAMS_BASE } from '../../support/team-phone'
import { withTeamList } from '../../support/two-teams'

export interface TeamFigures {
  /** Boards that were open at once. */
  open: number
  /** Memory of the process with none of them, and what each adds, bytes. */
  empty: number
  perTeam: number
  /** What the first visitor of a team waits, ms, ascending. */
  firstVisits: number[]
}

/** What teams cost the process that serves them, each on a database of its own: none of them has anybody joined, and each is asked for once. */
export async function measureTeams(server: ServerProcess, teams: number): Promise<TeamFigures> {
  const where = { dataFolder: server.dataFolder, database: null }
  const addresses = Array.from({ length: teams }, (_, n) => `team-${n}`)
  withTeamList(where, (list) => {
    for (const address of addresses) {
      const made = list.add(address, address)
      if (!made.ok) throw new Error(made.error.reason)
    }
  })
  // The server looks at the list twice a second, and its memory is to be read after its first requests.
  const visit = (address: string) =>
    askAt(server.port, { host: `${address}.${TEAMS_BASE}:${server.port}`, path: '/api/session' })
  for (let n = 0; n < 20; n++) await visit('nobody')
  await sleep(2_000)
  const empty = server.residentBytes()
  const firstVisits: number[] = []
  for (const address of addresses) {
    const { status, ms } = await visit(address)
    if (status !== 200) throw new Error(`${address} answered ${status}`)
    firstVisits.push(ms)
  }
  await sleep(2_000)
  const open = addresses.filter((a) =>
    existsSync(join(settingsOfTeam(where, a).dataFolder, 'board.db')),
  ).length
  return {
    open,
    empty,
    perTeam: (server.residentBytes() - empty) / teams,
    firstVisits: firstVisits.sort((a, b) => a - b),
  }
}
