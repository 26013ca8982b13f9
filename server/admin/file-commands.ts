import { existsSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { canonicalJson } from '@/lib/core/json'
import { refusalText } from '@/lib/core/result'
import { checkLog } from '../storage/check-log'
import { backUp, verifyFile } from '../storage/backup'
import { lockFolder } from '../storage/folder-lock'
import { DATABASE_FILE } from '../storage/database-file'
import { clearNotice, readNotice } from '../storage/notices'
import { restore } from '../storage/restore'
import { exportRoom } from '../storage/read-room-doc'
import { readStore } from '../storage/board-client'
import { UsageError, type AdminContext } from './admin-context'
import { withDatabase } from './with-database'

const fileArgument = (ctx: AdminContext, command: string, file: string | undefined): string => {
  if (!file) throw new UsageError(`Name a file: ${command} FILE`)
  return resolve(ctx.folder, file)
}
const databaseOf = ({ settings }: AdminContext) => join(settings.dataFolder, DATABASE_FILE)

/** What its own tools do, they do better. */
function refuseOnPostgres({ settings }: AdminContext, instead: string): void {
  if (settings.database !== null)
    throw new UsageError(`The board is in PostgreSQL (STAGECALL_DATABASE): ${instead}.`)
}

/** Copy the database into one verified file. Works beside a running server. */
export async function backupCommand(ctx: AdminContext, name: string | undefined): Promise<void> {
  const file = fileArgument(ctx, 'backup', name)
  refuseOnPostgres(ctx, 'pg_dump copies it')
  if (!existsSync(databaseOf(ctx)))
    throw new UsageError(`There is no board in ${ctx.settings.dataFolder} yet.`)
  await withDatabase(ctx, async (client) => {
    if (client.engine !== 'sqlite') return
    const made = await backUp(client, file, ctx.clock.now())
    if (!made.ok) throw new UsageError(refusalText(made.error))
    const rows = Object.values(made.value.rows).reduce((a, b) => a + b, 0)
    ctx.print(`Backed up ${rows} rows, ${made.value.bytes} bytes, to ${file}`)
    ctx.print(`SHA-256 ${made.value.sha256} (in the manifest beside it)`)
    for (const note of made.value.notes) ctx.print(note)
  })
}

/** Put a backup in the place of the database; the server must not be running. */
export function restoreCommand(ctx: AdminContext, name: string | undefined): void {
  const file = fileArgument(ctx, 'restore', name)
  refuseOnPostgres(
    ctx,
    'pg_restore does that; then DELETE FROM generations, so that phones send what they hold',
  )
  const lock = lockFolder(ctx.settings.dataFolder)
  if (!lock) throw new UsageError('The server is running on this data folder. Stop it first, then restore.')
  try {
    const done = restore(file, ctx.settings.dataFolder, ctx.clock.now())
    if (!done.ok) throw new UsageError(refusalText(done.error))
    ctx.print(`Restored ${file}.`)
    for (const note of done.value.notes) ctx.print(note)
    if (done.value.kept) ctx.print(`The board from before is saved as ${done.value.kept}`)
    ctx.print(
      'Phones that were joined when the backup was made are joined again, except those removed since then. Roles come from the backup.',
    )
  } finally {
    lock.release()
  }
}

/** Look for damage in a backup or, without a file, in the live database. False when there is some. */
export function verifyCommand(ctx: AdminContext, name: string | undefined): boolean {
  if (name === undefined) refuseOnPostgres(ctx, 'pg_amcheck looks for damage')
  const file = name === undefined ? databaseOf(ctx) : resolve(ctx.folder, name)
  const { problems, photos, rows, manifest } = verifyFile(file)
  problems.push(...photos)
  if (name === undefined) problems.push(...logProblems(ctx))
  for (const problem of problems) ctx.print(problem)
  const total = Object.values(rows).reduce((a, b) => a + b, 0)
  if (problems.length > 0) ctx.print(`${file}: damaged (${problems.length} problems found)`)
  else ctx.print(`${file}: sound (${total} rows${manifest ? ', as its manifest says' : ''})`)
  return problems.length === 0
}

/** Not while a server writes to it. */
function logProblems({ settings }: AdminContext): string[] {
  const lock = lockFolder(settings.dataFolder)
  try {
    return lock && checkLog(settings.dataFolder).state !== 'sound'
      ? ['The log of edits is damaged: npm start repairs it or says what is lost']
      : []
  } finally {
    lock?.release()
  }
}

/** What a start said about lost edits; printed here, it is taken as read and said no more. */
export function noticesCommand({ settings, print }: AdminContext): void {
  const notice = readNotice(settings.dataFolder)
  for (const line of notice?.lines ?? ['No notices.']) print(line)
  clearNotice(settings.dataFolder)
}

/** Write one room's board, or all rooms', as canonical JSON: equal boards give equal bytes. */
export function exportCommand(
  ctx: AdminContext,
  room: string | undefined,
  name: string | undefined,
): Promise<void> {
  const file = fileArgument(ctx, 'export [--room ROOM]', name)
  return withDatabase(ctx, (client) => {
    const store = readStore(client)
    const all = store.rooms()
    if (room !== undefined && !all.includes(room))
      throw new UsageError(`--room is “${room}”; the board has ${all.join(', ') || 'no rooms yet'}.`)
    const rooms = room === undefined ? all : [room]
    const boards = Object.fromEntries(rooms.map((r) => [r, exportRoom(store, r)]))
    writeFileSync(file, `${canonicalJson(boards)}\n`)
    ctx.print(`Wrote ${rooms.join(', ') || 'nothing'} to ${file}`)
  })
}
