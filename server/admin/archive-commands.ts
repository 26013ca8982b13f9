import { createWriteStream, existsSync, linkSync, rmSync } from 'node:fs'
import { randomUUID } from 'node:crypto'
import { dirname, resolve } from 'node:path'
import { createInterface } from 'node:readline/promises'
import { CONFLICT_CHOICES, type ArchivePlan, type ConflictChoice } from '@/lib/archive'
import { isIdText } from '@/lib/core/id'
import { refusalText } from '@/lib/core/result'
import { checkArchive } from '../archive/check-archive'
import { planArchive } from '../archive/plan-archive'
import { planLines } from '../archive/plan-lines'
import { takeArchive } from '../archive/take-archive'
import { writeArchive } from '../archive/write-archive'
import { secureRandom } from '../join/secret-hash'
import { SqlSessions } from '../join/sql-sessions'
import { PhotoStore } from '../photos/photo-store'
import { DATABASE_FILE } from '../storage/database-file'
import { ownStore } from '../storage/board-client'
import { createSyncServer } from '../sync/sync-server'
import { UsageError, type AdminContext } from './admin-context'
import { withDatabase } from './with-database'

export interface ImportFlags {
  yes?: boolean | undefined
  conflicts?: string | undefined
}

/** Write the team, or one meeting, as one archive. Works beside a running server. */
export async function archiveCommand(
  ctx: AdminContext,
  name: string | undefined,
  meetingId: string | undefined,
): Promise<void> {
  if (!name) throw new UsageError('Name a file: archive [--meeting ID] FILE')
  const file = resolve(ctx.folder, name)
  if (ctx.settings.database === null && !existsSync(resolve(ctx.settings.dataFolder, DATABASE_FILE)))
    throw new UsageError(`There is no board in ${ctx.settings.dataFolder} yet.`)
  if (meetingId !== undefined && !isIdText(meetingId))
    throw new UsageError(`--meeting is “${meetingId}”, which is no id.`)
  if (existsSync(file)) throw new UsageError(`${file} exists already; archives are never overwritten.`)
  if (!existsSync(dirname(file))) throw new UsageError(`There is no folder ${dirname(file)}.`)
  const draft = `${file}.${randomUUID()}.part`
  const out = createWriteStream(draft, { mode: 0o600, flush: true })
  // Whoever writes is told; before that nobody listens.
  out.on('error', () => undefined)
  try {
    await withDatabase(ctx, async (client) => {
      const scope =
        meetingId === undefined ? ({ kind: 'team' } as const) : ({ kind: 'meeting', meetingId } as const)
      const made = await writeArchive(client, scope, out, ctx.clock)
      if (!made.ok) throw new UsageError(refusalText(made.error))
      // A name that somebody took meanwhile stays theirs.
      linkSync(draft, file)
      ctx.print(`Wrote ${made.value.parts} parts, ${made.value.bytes} bytes, to ${file}`)
      for (const note of made.value.notes) ctx.print(note)
    })
  } finally {
    // A file that is still being opened comes to be after it was removed.
    if (!out.closed) await new Promise<void>((resolve) => out.once('close', () => resolve()).destroy())
    rmSync(draft, { force: true })
  }
}

const RUNNING =
  'The server is running on this data folder. Import the archive on its Files screen, or stop the server first.'

/** Bring an archive in; the server must not be running. Says what it would do, and asks. */
export async function importCommand(
  ctx: AdminContext,
  name: string | undefined,
  flags: ImportFlags,
): Promise<void> {
  if (!name) throw new UsageError('Name a file: import [--yes] [--conflicts here|archive] FILE')
  const file = resolve(ctx.folder, name)
  const choice = flags.conflicts ?? 'here'
  if (!isChoice(choice)) throw new UsageError(`--conflicts is “${choice}”; it must be here or archive.`)
  const checked = await checkArchive(file)
  if (!checked.ok) throw new UsageError(refusalText(checked.error))
  const archive = checked.value
  try {
    await withDatabase(
      ctx,
      async (client) => {
        const { clock } = ctx
        const sessions = new SqlSessions(client, clock, secureRandom)
        const log = { info: () => undefined, warn: () => undefined, error: () => undefined }
        const board = createSyncServer({
          store: ownStore(client, 'an archive that is being imported'),
          sessions,
          clock,
          log,
        })
        try {
          const parts = { client, board, photos: new PhotoStore(client, clock) }
          const plan = await planArchive(archive, parts)
          for (const line of planLines(plan)) ctx.print(line)
          if (!flags.yes && !(await confirmed(plan, choice))) {
            ctx.print('Nothing was changed. To import it: import --yes FILE')
            return
          }
          const taken = await takeArchive(archive, parts, {
            conflicts: choice,
            digest: plan.digest,
            by: { personId: 'server' },
          })
          if (!taken.ok) throw new UsageError(refusalText(taken.error))
          const { values, photos, history, left } = taken.value
          ctx.print(`Imported ${values} values, ${photos} photos and ${history} lines of history.`)
          if (left > 0) ctx.print(`${left} values were changed here meanwhile: they stay.`)
        } finally {
          await board.close()
        }
      },
      RUNNING,
    )
  } finally {
    archive.close()
  }
}

const isChoice = (text: string): text is ConflictChoice =>
  (CONFLICT_CHOICES as readonly string[]).includes(text)

async function confirmed(plan: ArchivePlan, choice: ConflictChoice): Promise<boolean> {
  if (!process.stdin.isTTY) return false
  const conflicts = plan.rooms.flatMap((r) => r.collections).reduce((n, c) => n + c.conflicts, 0)
  const about =
    conflicts === 0
      ? ''
      : ` Where both were changed, ${choice === 'here' ? 'this board’s value stays' : 'the archive’s is taken'}.`
  const asking = createInterface({ input: process.stdin, output: process.stdout })
  try {
    return /^y(es)?$/i.test((await asking.question(`Import it?${about} (yes/no) `)).trim())
  } finally {
    asking.close()
  }
}
