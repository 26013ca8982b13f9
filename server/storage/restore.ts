import { join } from 'node:path'
import { z } from 'zod'
import { openClient } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { renewGeneration } from '@/drizzle/generation'
import { migrate } from '@/drizzle/migrate'
import { ok, refuse, type Result } from '@/lib/core/result'
import { verifyFile } from './backup'
import { carryOver, readEnded } from './carry-over'
import { DATABASE_FILE, PARTS } from './database-file'
import { fileTrouble } from './file-trouble'
import { realFiles, type Files } from './files'
import { photoDamage } from './photo-damage'
import { verifyDatabase } from './verify-database'

/** What is still to be done of a restore. Once it is on the disk, the restore is carried out, by the next start if need be. */
const planSchema = z.strictObject({
  format: z.literal(1),
  backup: z.string(),
  /** Name that the database so far gets; null when there is none. */
  kept: z
    .string()
    .regex(/^board\.db\.before-[\w-]+$/)
    .nullable(),
})
type Plan = z.infer<typeof planSchema>

const namesIn = (dataFolder: string) => ({
  target: join(dataFolder, DATABASE_FILE),
  draft: join(dataFolder, `${DATABASE_FILE}.restoring`),
  plan: join(dataFolder, `${DATABASE_FILE}.restore.json`),
})
const KEPT = `${DATABASE_FILE}.before-`

export interface Restored {
  /** Where the database so far is kept. */
  kept: string | null
  /** What the person should know besides. */
  notes: string[]
}

/**
 * Put a verified backup in the place of a data folder's database; the caller holds the folder's lock. What was there is kept beside it.
 *
 * A copy is made ready first: this version's schema, another generation, and everything ended or used up since the backup. Then a plan is
 * written, which is the point of no return, then the files change names. A process or the power that ends before the plan leaves the old
 * board, after it the new one, as soon as `settleFolder` has run.
 */
export function restore(
  file: string,
  dataFolder: string,
  now: number,
  files: Files = realFiles,
): Result<Restored> {
  const { draft } = namesIn(dataFolder)
  let planned: Plan | null = null
  try {
    settleFolder(dataFolder, files)
    const { problems, photos } = verifyFile(file)
    if (problems.length > 0)
      return refuse('Backup', file, problems.join('; '), 'Nothing was changed. Choose another backup.')
    const notes = [...makeDraft(file, dataFolder, files), ...photoDamage(photos)]
    const wrong = verifyDatabase(draft).problems
    if (wrong.length > 0) {
      files.remove(draft)
      return refuse('Backup', file, wrong.join('; '), 'Nothing was changed. Choose another backup.')
    }
    const plan: Plan = { format: 1, backup: file, kept: nameForKept(dataFolder, now, files) }
    writePlan(dataFolder, plan, files)
    planned = plan
    carryOut(dataFolder, plan, files)
    return ok({ kept: plan.kept && join(dataFolder, plan.kept), notes })
  } catch (e) {
    const trouble = fileTrouble(e)
    if (!trouble) throw e
    if (planned === null) files.remove(draft)
    return refuse(
      'Restore',
      trouble.path || file,
      trouble.reason,
      planned === null
        ? 'Nothing was changed. Try again once that is fixed.'
        : 'It finishes with the next start of the board, or by restoring again, once that is fixed.',
    )
  }
}

/** @returns what could not be carried over, in words. */
function makeDraft(file: string, dataFolder: string, files: Files): string[] {
  const { target, draft } = namesIn(dataFolder)
  files.copy(file, draft)
  // Earlier boards too: a phone may have been thrown out between two restores.
  const earlier = files
    .list(dataFolder)
    .filter((name) => name.startsWith(KEPT) && !PARTS.some((part) => part !== '' && name.endsWith(part)))
    .map((name) => join(dataFolder, name))
  const ended = readEnded([...(files.exists(target) ? [target] : []), ...earlier])
  const client = openClient(draft, { journal: 'delete' })
  try {
    migrate(client)
    renewGeneration(client)
    carryOver(client, ended)
  } finally {
    client.close()
  }
  files.sync(draft)
  return ended.unread.length === 0
    ? []
    : [
        'Not everything in the old database could be read. A phone removed since the backup may be joined again, and an invitation may be open again. Check the crew and remove them again.',
      ]
}

function nameForKept(dataFolder: string, now: number, files: Files): string | null {
  const { target } = namesIn(dataFolder)
  if (!PARTS.some((part) => files.exists(target + part))) return null
  const name = KEPT + new Date(now).toISOString().replace(/[:.]/g, '-')
  const taken = files.list(dataFolder)
  let free = name
  for (let n = 2; taken.includes(free); n++) free = `${name}-${n}`
  return free
}

function writePlan(dataFolder: string, plan: Plan, files: Files): void {
  const name = namesIn(dataFolder).plan
  files.write(`${name}.part`, `${JSON.stringify(plan)}\n`)
  files.sync(`${name}.part`)
  files.rename(`${name}.part`, name)
  files.syncFolder(dataFolder)
}

/** The files change names. Can be begun again after having been cut off anywhere. */
function carryOut(dataFolder: string, { kept }: Plan, files: Files): void {
  const { target, draft, plan } = namesIn(dataFolder)
  if (files.exists(draft)) {
    // As long as there is a draft, what stands in its place is the database so far. Its log goes with it: the last commits may be there only.
    if (kept !== null)
      for (const part of PARTS)
        if (files.exists(target + part)) files.rename(target + part, join(dataFolder, kept) + part)
    files.syncFolder(dataFolder)
    files.rename(draft, target)
    files.syncFolder(dataFolder)
  }
  files.remove(plan)
  files.syncFolder(dataFolder)
}

/**
 * Look for a restore that was cut off and finish it, or drop what never got that far; the caller holds the folder's lock.
 * @returns what was done, in words
 * @throws DatabaseError when it can't be told what belongs in the folder
 */
export function settleFolder(dataFolder: string, files: Files = realFiles): string[] {
  const { draft, plan } = namesIn(dataFolder)
  const done: string[] = []
  if (files.exists(plan)) {
    const { backup, kept } = readPlan(plan, files)
    carryOut(dataFolder, { format: 1, backup, kept }, files)
    done.push(
      `A restore of ${backup} was cut off. It is finished now.`,
      ...(kept === null ? [] : [`The board from before is saved as ${join(dataFolder, kept)}`]),
    )
  }
  const leftovers = [draft, `${draft}-journal`, `${draft}-wal`, `${draft}-shm`, `${plan}.part`]
  const found = leftovers.filter((file) => files.exists(file))
  for (const file of found) files.remove(file)
  if (found.length > 0) {
    files.syncFolder(dataFolder)
    done.push('A restore was cut off before it changed anything. The board is as it was.')
  }
  return done
}

function readPlan(file: string, files: Files): Plan {
  try {
    return planSchema.parse(JSON.parse(files.read(file).toString('utf8')))
  } catch (e) {
    throw new DatabaseError('half-restored', `${file} can’t be read`, e)
  }
}

/**
 * An empty board must never be opened beside a lost one.
 * @throws DatabaseError when a restore is half done, or when what belongs to a database is there without it
 */
export function refuseHalfABoard(dataFolder: string, files: Files = realFiles): void {
  const { target, plan } = namesIn(dataFolder)
  if (files.exists(plan)) throw new DatabaseError('half-restored', plan)
  if (files.exists(target)) return
  const orphan = files
    .list(dataFolder)
    .find((name) => name.startsWith(KEPT) || PARTS.some((part) => name === DATABASE_FILE + part))
  if (orphan !== undefined) throw new DatabaseError('missing', `there is ${join(dataFolder, orphan)}`)
}
