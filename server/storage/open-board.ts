import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { asc, gt, max } from 'drizzle-orm'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { renewGeneration } from '@/drizzle/generation'
import { audit, people } from '@/drizzle/schema'
import type { Loss } from '@/lib/sync/loss-notice'
import { LOSS_CAUSE, LOSS_TITLE, lossSentences, WHAT_TO_DO } from '@/lib/sync/loss-words'
import { checkLog, type LogVerdict } from './check-log'
import { DATABASE_FILE } from './database-file'
import { realFiles as files } from './files'
import { mendLog } from './mend-log'
import { addNotice } from './notices'
import { openDatabase, type OpenOptions } from './open-database'
import { refuseHalfABoard } from './restore'
import { photoDamage } from './photo-damage'
import { verifyDatabase } from './verify-database'

export interface OpenedBoard {
  client: SqliteClient
  /** What was found and done, in words; empty when all is well. */
  told: string[]
}

type Lost = Extract<LogVerdict, { state: 'lost' }>

/** An edit that is no longer there. */
interface LostEdit {
  personId: string
  name: string
  at: number
}

/**
 * Open a data folder's database for a server; nobody else may have it open. First it is looked whether the log reaches as far as had been
 * acknowledged, and whether every row is as it was written. A damaged log is mended where the database that comes of it is whole. Otherwise what
 * is lost is told, and the board begins another generation: phones that still hold the edits send them again.
 * @throws DatabaseError `damaged` when the database itself is not as it was written
 */
export function openBoard(dataFolder: string, now: number, options: OpenOptions = {}): OpenedBoard {
  refuseHalfABoard(dataFolder)
  const file = join(dataFolder, DATABASE_FILE)
  if (!files.exists(file)) return { client: openDatabase(dataFolder, options), told: [] }
  const verdict = checkLog(dataFolder)
  const told: string[] = []
  let lost: { verdict: Lost; edits: LostEdit[] } | null = null
  if (verdict.state === 'sound' && verdict.note) told.push(verdict.note)
  if (verdict.state === 'folded') {
    const kept = setLogAside(dataFolder, now)
    told.push(
      `The log of edits was damaged. All of it was already in the database, so nothing is lost. It is saved as ${kept}`,
    )
  }
  if (verdict.state === 'lost') {
    const mended = mend(dataFolder, verdict)
    if (mended.whole) {
      const kept = setLogAside(dataFolder, now)
      adopt(dataFolder, mended.log)
      told.push(
        `The log of edits was damaged and has been repaired. Nothing that was saved is lost. The damaged one is saved as ${kept}`,
      )
    } else {
      if (verdict.readable) keepLog(dataFolder, now)
      else setLogAside(dataFolder, now)
      lost = { verdict, edits: mended.edits }
    }
  }
  const isSound = options.isKnown === true && verdict.state === 'sound'
  const { problems, photos } = isSound ? { problems: [], photos: [] } : verifyDatabase(file)
  if (problems.length > 0)
    throw new DatabaseError(
      'damaged',
      `${problems.length} problems, the first: ${problems[0] ?? ''}; npm run admin -- verify lists them`,
    )
  for (const damage of photoDamage(photos))
    told.push(
      `${damage} The disk may be failing: take a backup to another one. npm run admin -- verify lists them.`,
    )
  const client = openDatabase(dataFolder, options)
  if (lost !== null) {
    client.transact(() => renewGeneration(client))
    const loss = lossOf(client, lost)
    const lines = lossInWords(loss)
    addNotice(dataFolder, { at: now, lines, losses: [loss] })
    told.push(...lines)
  }
  return { client, told }
}

const logFile = (dataFolder: string) => join(dataFolder, `${DATABASE_FILE}-wal`)
const stamp = (now: number) => new Date(now).toISOString().replace(/[:.]/g, '-')

function keepLog(dataFolder: string, now: number): string {
  const kept = join(dataFolder, `damaged-log-${stamp(now)}`)
  if (files.exists(logFile(dataFolder))) files.copy(logFile(dataFolder), kept)
  return kept
}

function setLogAside(dataFolder: string, now: number): string {
  const kept = join(dataFolder, `damaged-log-${stamp(now)}`)
  if (files.exists(logFile(dataFolder))) files.rename(logFile(dataFolder), kept)
  files.remove(join(dataFolder, `${DATABASE_FILE}-shm`))
  files.syncFolder(dataFolder)
  return kept
}

function adopt(dataFolder: string, log: Uint8Array): void {
  const part = `${logFile(dataFolder)}.part`
  files.write(part, log)
  files.sync(part)
  files.rename(part, logFile(dataFolder))
  files.syncFolder(dataFolder)
}

/** Read past what does not hold, in a copy. `whole` when the copy is as it was written; otherwise at least what it tells of the edits lost. */
function mend(
  dataFolder: string,
  { salt, last }: Lost,
): { whole: boolean; log: Uint8Array; edits: LostEdit[] } {
  const failed = { whole: false, log: new Uint8Array(), edits: [] }
  if (last === 0 || !files.exists(logFile(dataFolder))) return failed
  const copy = join(dataFolder, `${DATABASE_FILE}.mending`)
  try {
    rmSync(copy, { recursive: true, force: true })
    mkdirSync(copy, { mode: 0o700 })
    const { bytes: log, whole } = mendLog(files.read(logFile(dataFolder)), salt, last)
    files.copy(join(dataFolder, DATABASE_FILE), join(copy, DATABASE_FILE))
    files.write(join(copy, `${DATABASE_FILE}-wal`), log)
    if (whole && verifyDatabase(join(copy, DATABASE_FILE)).problems.length === 0)
      return { whole, log, edits: [] }
    return { ...failed, edits: editsAfter(dataFolder, copy) }
  } finally {
    rmSync(copy, { recursive: true, force: true })
  }
}

/** Whose edits the mended copy shows beyond those of the database; as many as can be read. */
function editsAfter(dataFolder: string, copy: string): LostEdit[] {
  try {
    const newest = reading(
      dataFolder,
      ({ db }) =>
        db
          .select({ seq: max(audit.seq) })
          .from(audit)
          .get()?.seq ?? 0,
    )
    return reading(copy, ({ db }) => {
      const names = new Map(
        db
          .select({ id: people.id, name: people.name })
          .from(people)
          .all()
          .map((p) => [p.id, p.name]),
      )
      const { personId, at } = audit
      return db
        .select({ personId, at })
        .from(audit)
        .where(gt(audit.seq, newest))
        .orderBy(asc(audit.seq))
        .all()
        .map((e) => ({ ...e, name: names.get(e.personId) ?? e.personId }))
    })
  } catch {
    return [] // it is damaged, after all
  }
}

function reading<T>(folder: string, read: (client: SqliteClient) => T): T {
  const client = openClient(join(folder, DATABASE_FILE), { readonly: true })
  try {
    return read(client)
  } finally {
    client.close()
  }
}

const time = (ms: number) => new Date(ms).toISOString().replace('T', ' ').slice(0, 19)

function lossOf({ db }: SqliteClient, { verdict, edits }: { verdict: Lost; edits: LostEdit[] }): Loss {
  const kept = db
    .select({ at: max(audit.at) })
    .from(audit)
    .get()
  const byPerson = new Map<string, number>()
  for (const e of edits) byPerson.set(e.name, (byPerson.get(e.name) ?? 0) + 1)
  return {
    after: kept?.at ?? null,
    until: verdict.until,
    writes: verdict.commits,
    people: [...byPerson].map(([name, n]) => ({ name, edits: n })),
  }
}

const lossInWords = (loss: Loss): string[] => [
  `${LOSS_TITLE.toUpperCase()}: ${LOSS_CAUSE}`,
  ...lossSentences(loss, (at) => `${time(at)} UTC`),
  `What to do: ${WHAT_TO_DO} This shows until a manager reads it on the board, or npm run admin -- notices is run.`,
]
