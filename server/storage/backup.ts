import { createHash, randomUUID } from 'node:crypto'
import { chmodSync, closeSync, linkSync, openSync, readSync } from 'node:fs'
import { dirname } from 'node:path'
import { z } from 'zod'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { asDatabaseError } from '@/drizzle/database-error'
import { ok, refuse, type Refusal, type Result } from '@/lib/core/result'
import { fileTrouble } from './file-trouble'
import { realFiles as files } from './files'
import { photoDamage } from './photo-damage'
import { verifyDatabase, type Verification } from './verify-database'

const manifestSchema = z.strictObject({
  format: z.literal(1),
  createdAt: z.iso.datetime(),
  bytes: z.int().min(0),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  rows: z.record(z.string(), z.int().min(0)),
})
const PIECE = 1024 * 1024
export type Manifest = z.infer<typeof manifestSchema>

export interface BackedUp extends Manifest {
  /** What the person should know besides. */
  notes: string[]
}

/** The manifest stands beside the backup. */
export const manifestFile = (backup: string): string => `${backup}.manifest.json`

/**
 * Copy the database as it is at this moment (a server may be writing to it) into one file, verify the copy, and write its manifest beside it.
 * Nothing is left behind when that fails; a name that is taken, by another backup of the same moment too, is never overwritten.
 */
export async function backUp(client: SqliteClient, file: string, now: number): Promise<Result<BackedUp>> {
  const taken = (): Result<never> =>
    refuse('File', file, 'it exists already', 'Choose another name; backups are never overwritten.')
  if (files.exists(file) || files.exists(manifestFile(file))) return taken()
  const folder = dirname(file)
  if (!files.exists(folder))
    return refuse('Folder', folder, 'there is no such folder', 'Make it first, or choose another.')
  const draft = `${file}.${randomUUID()}.part`
  try {
    files.write(draft, '')
    await client.connection.backup(draft)
    chmodSync(draft, 0o600)
    // The copy is in WAL mode as the original is; as a backup it shall be one file.
    openClient(draft, { journal: 'delete' }).close()
    const { problems, photos, rows } = verifyDatabase(draft)
    if (problems.length > 0)
      return refuse(
        'Database',
        '',
        problems.join('; '),
        'The database itself is damaged: restore an earlier backup.',
      )
    const manifest: Manifest = {
      format: 1,
      createdAt: new Date(now).toISOString(),
      ...fingerprint(draft),
      rows,
    }
    const text = `${draft}.manifest`
    files.write(text, `${JSON.stringify(manifest, null, 2)}\n`)
    files.sync(text)
    files.sync(draft)
    if (!claim(draft, file)) return taken()
    files.rename(text, manifestFile(file))
    files.syncFolder(folder)
    return ok({ ...manifest, notes: photoDamage(photos) })
  } catch (e) {
    const refusal = refusalOf(asDatabaseError(e), file)
    if (!refusal) throw e
    return { ok: false, error: refusal }
  } finally {
    for (const ending of ['', '-wal', '-shm', '-journal', '.manifest']) files.remove(draft + ending)
  }
}

/** Give the draft its name unless somebody has it. */
function claim(draft: string, file: string): boolean {
  try {
    linkSync(draft, file)
    return true
  } catch (e) {
    if (e instanceof Error && 'code' in e && e.code === 'EEXIST') return false
    // Memory sticks know no second name for a file: there the look and the renaming are two steps.
    if (files.exists(file)) return false
    files.rename(draft, file)
    return true
  }
}

function refusalOf(e: unknown, file: string): Refusal | null {
  const trouble = fileTrouble(e)
  return (
    trouble && {
      field: 'Backup',
      value: file,
      reason: trouble.reason,
      remedy: 'Nothing was left behind. Try again, or use another disk.',
    }
  )
}

/** Verify a database file; a backup also against its manifest, where there is one beside it. */
export function verifyFile(file: string): Verification & { manifest: boolean } {
  if (!files.exists(file))
    return { problems: [`There is no file ${file}`], photos: [], rows: {}, manifest: false }
  const manifest = files.exists(manifestFile(file))
  const problems = manifest ? compareWithManifest(file) : []
  const verified = verifyDatabase(file)
  return { ...verified, problems: [...problems, ...verified.problems], manifest }
}

function compareWithManifest(file: string): string[] {
  try {
    const manifest = manifestSchema.parse(JSON.parse(files.read(manifestFile(file)).toString('utf8')))
    const is = fingerprint(file)
    if (is.bytes !== manifest.bytes)
      return [`The file has ${is.bytes} bytes, its manifest says ${manifest.bytes}`]
    return is.sha256 === manifest.sha256 ? [] : ['The file’s SHA-256 is not the one in its manifest']
  } catch (e) {
    return [`The manifest can’t be read: ${e instanceof Error ? e.message : String(e)}`]
  }
}

function fingerprint(file: string): { bytes: number; sha256: string } {
  // Piece by piece: a board with photos can be larger than what Node reads at once.
  const hash = createHash('sha256')
  const piece = Buffer.alloc(PIECE)
  const fd = openSync(file, 'r')
  try {
    for (let bytes = 0; ;) {
      const n = readSync(fd, piece, 0, PIECE, bytes)
      if (n === 0) return { bytes, sha256: hash.digest('hex') }
      hash.update(piece.subarray(0, n))
      bytes += n
    }
  } finally {
    closeSync(fd)
  }
}
