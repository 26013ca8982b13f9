import { secureRandom } from '../join/secret-hash'
import { originsOf } from '../addresses'
import type { Settings } from '../env'
import { readRunning } from '../storage/running-file'
import { originOf } from '../teams/hosting'
import { openTeamList } from '../teams/open-team-list'
import { TeamList } from '../teams/team-list'
import { settingsOfTeam } from '../teams/team-settings'
import { UsageError, type AdminContext } from './admin-context'

/** Where the server is reached, as it said itself or as it would be. */
export function originsHere(settings: Settings): string[] {
  const running = readRunning(settings.dataFolder)
  if (running) return running.origins
  const port = settings.port || 4310
  return settings.teams
    ? [originOf(settings.teams, null, { secure: false, port })]
    : originsOf('http', port, settings.host)
}

/** Work on the list of teams, beside a running server. */
export async function withTeams<T>(
  { settings, clock }: AdminContext,
  work: (list: TeamList) => T | Promise<T>,
): Promise<T> {
  if (settings.teams === null)
    throw new UsageError('This server serves one team. Set STAGECALL_TEAMS to serve many.')
  const client = openTeamList(settings)
  try {
    return await work(new TeamList(client, clock, secureRandom))
  } finally {
    client.close()
  }
}

/** The same commands, about one team's board. */
export function contextOfTeam(host: AdminContext, address: string): AdminContext {
  const { settings, origins } = host
  const { teams } = settings
  const here = new URL(origins[0] ?? 'http://localhost')
  const secure = here.protocol === 'https:'
  const port = Number(here.port || (secure ? 443 : 80))
  return {
    ...host,
    settings: settingsOfTeam(settings, address),
    origins: teams ? [originOf(teams, address, { secure, port })] : origins,
  }
}

/** The board that a command is about. @throws UsageError where `--team` names none, or is missing, or has no use */
export async function aboutTeam(host: AdminContext, typed: string | undefined): Promise<AdminContext> {
  if (host.settings.teams === null) {
    if (typed === undefined) return host
    throw new UsageError('This server serves one team: leave --team out, or set STAGECALL_TEAMS.')
  }
  if (typed === undefined)
    throw new UsageError('This server serves many teams: name one with --team ADDRESS (team list shows all).')
  const address = typed.toLowerCase()
  if (!(await withTeams(host, (list) => list.get(address))))
    throw new UsageError(`--team is “${typed}”; team list shows all that there are.`)
  return contextOfTeam(host, address)
}
