import { existsSync, mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { refusalText, type Result } from '@/lib/core/result'
import { joinLink, showJoinCode } from '@/lib/join/join-code'
import { readTeamAddress } from '@/lib/join/team-address'
import { readTeamName } from '@/lib/join/team-name'
import { FIRST_MANAGER_HOURS, Invitations } from '../join/invitations'
import { secureRandom } from '../join/secret-hash'
import { awaitLock } from '../storage/await-lock'
import { backUp } from '../storage/backup'
import { DATABASE_FILE } from '../storage/database-file'
import { NOW } from '../storage/postgres-statements'
import { schemaOfTeam } from '../teams/team-settings'
import { contextOfTeam, withTeams } from './about-team'
import { UsageError, type AdminContext } from './admin-context'
import { archiveCommand } from './archive-commands'
import { withDatabase } from './with-database'

/** A server lets go of an archived team within a second or two. */
const LET_GO_MS = 3_000
const AGAIN_MS = 100
const HELD = `SELECT 1 FROM owners WHERE lease_until >= ${NOW} LIMIT 1`

const must = <T>(result: Result<T>): T => {
  if (!result.ok) throw new UsageError(refusalText(result.error))
  return result.value
}
const day = (ms: number) => new Date(ms).toISOString().slice(0, 10)

/** `team add NAME ADDRESS` and its like. Work beside a running server, which notices within a second. */
export async function teamCommand(
  ctx: AdminContext,
  what: string | undefined,
  [first, second]: readonly string[],
): Promise<void> {
  const named = () => {
    if (first === undefined) throw new UsageError(`Name a team: team ${what ?? ''} ADDRESS`)
    return first.toLowerCase()
  }
  switch (what) {
    case 'add':
      if (first === undefined || second === undefined)
        throw new UsageError('Say how it is called and its address: team add NAME ADDRESS')
      return add(ctx, first, second)
    case 'list':
      return list(ctx)
    case 'archive': {
      const team = must(await withTeams(ctx, (teams) => teams.archive(named())))
      return ctx.print(
        `${team.name} is archived. Its board stays: team restore ${team.address} serves it again.`,
      )
    }
    case 'restore': {
      const team = must(await withTeams(ctx, (teams) => teams.unarchive(named())))
      return ctx.print(`${team.name} is served again at ${contextOfTeam(ctx, team.address).origins[0] ?? ''}`)
    }
    case 'remove':
      return remove(ctx, named())
    case 'code':
      return code(ctx)
    default:
      throw new UsageError('team takes add, list, archive, restore, remove or code.')
  }
}

async function add(ctx: AdminContext, typedName: string, typedAddress: string): Promise<void> {
  const name = must(readTeamName(typedName))
  const address = must(readTeamAddress(typedAddress))
  const team = contextOfTeam(ctx, address)
  must(
    await withTeams(ctx, (teams) => {
      if (!teams.get(address) && existsSync(join(team.settings.dataFolder, DATABASE_FILE)))
        throw new UsageError(`${team.settings.dataFolder} holds a board of no team. Move it away first.`)
      return teams.add(name, address)
    }),
  )
  const made = await withDatabase(team, (client) =>
    new Invitations(client, ctx.clock, secureRandom).createFirstManager('admin'),
  )
  ctx.print(joinLink(team.origins[0] ?? '', made.code))
  ctx.print(
    `Code ${showJoinCode(made.code)} · first manager of ${name} · one phone only · ${FIRST_MANAGER_HOURS} hours`,
  )
}

function list(ctx: AdminContext): Promise<void> {
  return withTeams(ctx, (teams) => {
    const all = teams.all()
    for (const t of all)
      ctx.print(
        `${t.address}\t${t.name}\tmade ${day(t.createdAt)}${t.archivedAt === null ? '' : `\tarchived ${day(t.archivedAt)}`}`,
      )
    if (all.length === 0) ctx.print('There are no teams yet.')
  })
}

function code(ctx: AdminContext): Promise<void> {
  return withTeams(ctx, (teams) => {
    const made = teams.makeCode()
    ctx.print(
      `Code ${showJoinCode(made.code)} · makes one team · until ${new Date(made.expiresAt).toISOString()}`,
    )
    ctx.print(`${ctx.origins[0] ?? ''}/hosting`)
  })
}

/** Nothing is taken away before its copy is on the disk and was read back. */
async function remove(ctx: AdminContext, address: string): Promise<void> {
  const team = await withTeams(ctx, (teams) => teams.get(address))
  if (!team) throw new UsageError(`No team has the address “${address}”; team list shows all.`)
  if (team.archivedAt === null)
    throw new UsageError(`${team.name} is still served. Archive it first: team archive ${address}`)
  const own = contextOfTeam(ctx, address)
  const lock = await awaitLock(own.settings.dataFolder, LET_GO_MS)
  if (!lock) throw new UsageError(RUNNING)
  lock.release()
  await awaitLeaseEnd(own)
  const folder = join(ctx.settings.dataFolder, 'removed-teams')
  mkdirSync(folder, { recursive: true, mode: 0o700 })
  const kept = join(folder, `${address}-${new Date(ctx.clock.now()).toISOString().replace(/[:.]/g, '-')}`)
  if (ctx.settings.database === null) await saveFile(own, `${kept}.db`)
  else await saveArchive(own, `${kept}.zip`, schemaOfTeam(address))
  must(await withTeams(ctx, (teams) => teams.remove(address)))
  rmSync(own.settings.dataFolder, { recursive: true, force: true })
  ctx.print(`${team.name} is removed.`)
}

const RUNNING = 'The server still has this team’s board open. Try again in a few seconds.'

/** On PostgreSQL the process that serves it may have its folder elsewhere, on another machine. */
async function awaitLeaseEnd(own: AdminContext): Promise<void> {
  if (own.settings.database === null) return
  await withDatabase(own, async (client) => {
    if (client.engine !== 'postgres') return
    for (let waited = 0; client.line.query(HELD).rows.length > 0; waited += AGAIN_MS) {
      if (waited > LET_GO_MS) throw new UsageError(RUNNING)
      await new Promise((resolve) => setTimeout(resolve, AGAIN_MS))
    }
  })
}

async function saveFile(own: AdminContext, file: string): Promise<void> {
  if (!existsSync(join(own.settings.dataFolder, DATABASE_FILE)))
    return own.print('There was no board to save: nobody had opened it.')
  await withDatabase(
    own,
    async (client) => {
      if (client.engine !== 'sqlite') return
      must(await backUp(client, file, own.clock.now()))
    },
    RUNNING,
  )
  own.print(`Its board is saved as ${file} (a backup, for verify and restore).`)
}

/** The archive holds the board, its history and photos; who was joined is not in it. */
async function saveArchive(own: AdminContext, file: string, schema: string): Promise<void> {
  await archiveCommand(own, file, undefined)
  await withDatabase(own, (client) => {
    if (client.engine === 'postgres') client.line.query(`DROP SCHEMA "${schema}" CASCADE`)
  })
}
