import { parseArgs } from 'node:util'
import { join } from 'node:path'
import { systemClock } from '@/lib/core/clock'
import { DatabaseError } from '@/drizzle/database-error'
import { fileTrouble } from '../storage/file-trouble'
import { readSettings, SettingsError } from '../env'
import { UsageError, type AdminContext } from './admin-context'
import { aboutTeam, originsHere } from './about-team'
import { archiveCommand, importCommand } from './archive-commands'
import { invite, listPeople, listSessions, revoke } from './crew-commands'
import { backupCommand, exportCommand, noticesCommand, restoreCommand, verifyCommand } from './file-commands'
import { teamCommand } from './team-commands'

const HELP = `npm run admin -- COMMAND [--demo] [--team ADDRESS]

  invite --role ROLE [--name NAME] [--hours N] [--single-use]
                            print a join link (manager, mechanic, driver, guest)
  people                    who has joined, with roles
  sessions                  joined phones
  revoke ID                 remove a phone, or all of a person's
  backup FILE               copy the database into one checked file; the server may be running
  verify [FILE]             look for damage in a backup, or in the database itself
  restore FILE              put a backup in the database's place; the server must be stopped
  export [--room ROOM] FILE write the board as JSON
  archive [--meeting ID] FILE
                            write the team, or one meeting, as one archive; the server may be running
  import [--yes] [--conflicts here|archive] FILE
                            say what an archive would change, ask, import it; the server must be stopped
  notices                   print notices about lost edits and mark them as read

  Where many teams are served (STAGECALL_TEAMS), add --team ADDRESS to each of these. And:
  team add NAME ADDRESS     make a team, print the link of its first manager
  team list                 all teams
  team archive ADDRESS      serve it no more; its board stays
  team restore ADDRESS      serve an archived one again
  team remove ADDRESS       save an archived one's board to a file, then delete it
  team code                 print a code that makes one team at the hosting page, within a day

  --demo                    use the demo's data folder`

/** Run one admin command; gives the exit code. `root` is the repository's folder. */
export async function runAdmin(args: readonly string[], root: string): Promise<number> {
  const print = (line: string) => void process.stdout.write(`${line}\n`)
  try {
    const { values, positionals } = parse(args)
    const settings = readSettings(process.env, root)
    if (values.demo && settings.database !== null)
      throw new SettingsError('The demo keeps to SQLite: leave STAGECALL_DATABASE out.')
    if (values.demo && settings.teams !== null)
      throw new SettingsError('The demo is one team’s: leave STAGECALL_TEAMS out.')
    if (values.demo) settings.dataFolder = join(settings.dataFolder, 'demo')
    // npm runs scripts in the repository; file names are meant from where the person stands.
    const host: AdminContext = {
      settings,
      origins: originsHere(settings),
      clock: systemClock,
      folder: process.env['INIT_CWD'] ?? root,
      print,
    }
    const [command = 'help', argument, ...more] = positionals
    if (command === 'team') {
      await teamCommand(host, argument, more)
      return 0
    }
    const ctx = command === 'help' ? host : await aboutTeam(host, values.team)
    switch (command) {
      case 'help':
        print(HELP)
        return 0
      case 'invite':
        await invite(ctx, values)
        return 0
      case 'people':
        await listPeople(ctx)
        return 0
      case 'sessions':
        await listSessions(ctx)
        return 0
      case 'revoke':
        await revoke(ctx, argument)
        return 0
      case 'backup':
        await backupCommand(ctx, argument)
        return 0
      case 'restore':
        restoreCommand(ctx, argument)
        return 0
      case 'verify':
        return verifyCommand(ctx, argument) ? 0 : 1
      case 'notices':
        noticesCommand(ctx)
        return 0
      case 'export':
        await exportCommand(ctx, values.room, argument)
        return 0
      case 'archive':
        await archiveCommand(ctx, argument, values.meeting)
        return 0
      case 'import':
        await importCommand(ctx, argument, values)
        return 0
      default:
        throw new UsageError(`There is no command “${command}”.\n\n${HELP}`)
    }
  } catch (e) {
    if (e instanceof UsageError || e instanceof SettingsError || e instanceof DatabaseError)
      process.stderr.write(`${e.message}\n`)
    else {
      const trouble = fileTrouble(e)
      if (!trouble) throw e
      process.stderr.write(`${trouble.path}: ${trouble.reason}.\n`)
    }
    return 1
  }
}

function parse(args: readonly string[]) {
  try {
    return parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        role: { type: 'string' },
        name: { type: 'string' },
        hours: { type: 'string' },
        'single-use': { type: 'boolean' },
        room: { type: 'string' },
        meeting: { type: 'string' },
        conflicts: { type: 'string' },
        yes: { type: 'boolean' },
        demo: { type: 'boolean' },
        team: { type: 'string' },
      },
    })
  } catch (e) {
    throw new UsageError(`${e instanceof Error ? e.message : String(e)}\n\n${HELP}`)
  }
}
