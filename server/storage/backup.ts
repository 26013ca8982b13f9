import { createHash } from 'node:crypto'
import {
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { openClient, type Client } from '@/drizzle/client'
import { renewGeneration } from '@/drizzle/generation'
import { ok, refuse, type Result } from '@/lib/core/result'
import { DATABASE_FILE } from './database-file'
import { openDatabase } from './open-database'
import { carryRevocations, revokedSessionIds } from './revoked-sessions'
import { verifyDatabase, type Verification } from './verify-database'

const manifestSchema = z.strictObject({
  format: z.literal(1),
  createdAt: z.iso.datetime(),
  bytes: z.int().min(0),
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  rows: z.record(z.string(), z.int().min(0)),
})
export type Manifest = z.infer<typeof manifestSchema>

/** The manifest stands beside the backup. */
export const manifestFile = (backup: string): string => `${backup}.manifest.json`

/**
 * Copy the database as it is at this moment (a server may be writing to it) into one file, verify the copy, and write its manifest beside it.
 * Nothing is left behind when the copy is not sound.
 */
export async function backUp(client: Client, file: string, now: number): Promise<Result<Manifest>> {
  if (existsSync(file) || existsSync(manifestFile(file)))
    return refuse('File', file, 'it exists already', 'Choose another name; backups are never overwritten.')
  const draft = `${file}.part`
  try {
    rmSync(draft, { force: true })
    await client.connection.backup(draft)
    // The copy is in WAL mode as the original is; as a backup it shall be one file.
    const copy = openClient(draft, { journal: 'delete' })
    copy.close()
    const { problems, rows } = verifyDatabase(draft)
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
    writeFileSync(manifestFile(file), `${JSON.stringify(manifest, null, 2)}\n`, { flush: true })
    flush(draft)
    renameSync(draft, file)
    return ok(manifest)
  } finally {
    for (const leftover of [draft, `${draft}-wal`, `${draft}-shm`, `${draft}-journal`])
      rmSync(leftover, { force: true })
  }
}

/** Verify a database file; a backup also against its manifest, where there is one beside it. */
export function verifyFile(file: string): Verification & { manifest: boolean } {
  if (!existsSync(file)) return { problems: [`There is no file ${file}`], rows: {}, manifest: false }
  const manifest = existsSync(manifestFile(file))
  const problems = manifest ? compareWithManifest(file) : []
  const verified = verifyDatabase(file)
  return { ...verified, problems: [...problems, ...verified.problems], manifest }
}

/**
 * Put a verified backup in the place of a data folder's database. The caller holds the folder's lock. What was there is kept beside it.
 * Devices revoked since the backup stay revoked.
 */
export function restore(file: string, dataFolder: string, now: number): Result<{ kept: string | null }> {
  const { problems } = verifyFile(file)
  if (problems.length > 0)
    return refuse('Backup', file, problems.join('; '), 'Nothing was changed. Choose another backup.')
  const target = join(dataFolder, DATABASE_FILE)
  const draft = `${target}.restoring`
  copyFileSync(file, draft)
  flush(draft)
  const revoked = existsSync(target) ? revokedSessionIds(target) : []
  let kept: string | null = null
  if (existsSync(target)) {
    kept = `${target}.before-${new Date(now).toISOString().replace(/[:.]/g, '-')}`
    // With its log: the last commits may still be there only.
    for (const part of ['', '-wal', '-shm'])
      if (existsSync(target + part)) renameSync(target + part, kept + part)
  }
  renameSync(draft, target)
  const client = openDatabase(dataFolder)
  try {
    renewGeneration(client)
    carryRevocations(client, revoked, now)
  } finally {
    client.close()
  }
  return ok({ kept })
}

function compareWithManifest(file: string): string[] {
  try {
    const manifest = manifestSchema.parse(JSON.parse(readFileSync(manifestFile(file), 'utf8')))
    const is = fingerprint(file)
    if (is.bytes !== manifest.bytes)
      return [`The file has ${is.bytes} bytes, its manifest says ${manifest.bytes}`]
    return is.sha256 === manifest.sha256 ? [] : ['The file’s SHA-256 is not the one in its manifest']
  } catch (e) {
    return [`The manifest can’t be read: ${e instanceof Error ? e.message : String(e)}`]
  }
}

function fingerprint(file: string): { bytes: number; sha256: string } {
  const content = readFileSync(file)
  return { bytes: content.length, sha256: createHash('sha256').update(content).digest('hex') }
}

function flush(file: string): void {
  const fd = openSync(file, 'r+')
  fsyncSync(fd)
  closeSync(fd)
}
