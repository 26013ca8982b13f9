import { stat } from 'node:fs/promises'
import type { Readable } from 'node:stream'
import { openPromise, type Entry, type ZipFile } from 'yauzl'
import { parsePartName, type Part } from '@/lib/archive'
import { ok, refuse, type Refusal, type Result } from '@/lib/core/result'
import { ARCHIVE_LIMITS, type ArchiveLimits } from './archive-limits'
import { checkSeal } from './seal'

/** An archive whose shape has been looked at; what its parts hold has not. */
export interface OpenArchive {
  /** SHA-256 of the file's bytes, of which no two archives have the same. */
  seal: string
  parts: ReadonlyMap<string, { part: Part; bytes: number }>
  /** A part's bytes as they are unpacked. Fails with `ArchiveError` where they don't unpack. */
  read(name: string): AsyncIterable<Buffer>
  close(): void
}

/** What is wrong with an archive, found while it was read. */
export class ArchiveError extends Error {
  override readonly name = 'ArchiveError'
  constructor(readonly refusal: Refusal) {
    super(`${refusal.reason}`)
  }
}

/** Nothing was changed, whatever it was: an archive is looked at whole before anything is written. */
export const refuseArchive = (reason: string, value: unknown = ''): ReturnType<typeof refuse> =>
  refuse('Archive', value, reason, 'Nothing was changed. Use an archive as a board wrote it.')

/** What a packed entry takes beside its bytes at least: APPNOTE.TXT, 4.3.7 (local file header). */
const LOCAL_HEADER = 30
const SYMLINK = 0o120000
const FILE_KIND = 0o170000

/** Open an archive: its seal, then the zip's list of entries, before a single byte is unpacked. Errors say what is wrong. */
export async function openArchive(
  file: string,
  limits: ArchiveLimits = ARCHIVE_LIMITS,
): Promise<Result<OpenArchive>> {
  const { size } = await stat(file)
  if (size > limits.fileBytes)
    return refuseArchive(`it is larger than ${Math.round(limits.fileBytes / 1e6)} MB`)
  const sealed = await checkSeal(file)
  if (!sealed.ok) return sealed
  let zip: ZipFile
  try {
    zip = await openPromise(file, { autoClose: false, decodeStrings: false, validateEntrySizes: true })
  } catch (e) {
    return refuseArchive(`its zip can’t be read (${wordsOf(e)})`)
  }
  // Errors of the file's end come with no entry in hand.
  zip.on('error', () => undefined)
  const entries = await readEntries(zip, size, limits)
  if (!entries.ok) {
    zip.close()
    return entries
  }
  const found = entries.value
  return ok({
    seal: sealed.value,
    parts: new Map(
      [...found].map(([name, { part, entry }]) => [name, { part, bytes: entry.uncompressedSize }]),
    ),
    read: (name) => unpack(zip, name, found.get(name)?.entry),
    close: () => zip.close(),
  })
}

interface FoundPart {
  part: Part
  entry: Entry
}

async function readEntries(
  zip: ZipFile,
  size: number,
  limits: ArchiveLimits,
): Promise<Result<Map<string, FoundPart>>> {
  if (zip.entryCount > limits.parts)
    return refuseArchive(`it says that it has ${zip.entryCount} parts; ${limits.parts} is the most`)
  const found = new Map<string, FoundPart>()
  let unpacked = 0
  try {
    for (let n = 0; n < zip.entryCount; n++) {
      const entry = await nextEntry(zip)
      // Names were left as bytes: ours are ASCII, and nothing else is read into them.
      const name = (entry.fileName as unknown as Buffer).toString('latin1')
      const looked = lookAt(entry, name, limits)
      if (!looked.ok) return looked
      if (found.has(name)) return refuseArchive('it holds the same part twice', name)
      found.set(name, { part: looked.value, entry })
      unpacked += entry.uncompressedSize
      if (unpacked > limits.unpackedBytes || unpacked > limits.unpackedTimes * size + limits.manifest)
        return refuseArchive(
          `unpacked it would be at least ${Math.round(unpacked / 1e6)} MB, which is no archive’s size but a trap’s`,
        )
    }
  } catch (e) {
    return refuseArchive(`its list of parts can’t be read (${wordsOf(e)})`)
  }
  // Parts that share bytes would unpack to much more than the file holds.
  const inOrder = [...found.values()].map((f) => f.entry).sort((a, b) => startOf(a) - startOf(b))
  for (const [i, entry] of inOrder.entries()) {
    const end = startOf(entry) + LOCAL_HEADER + entry.fileNameLength + entry.compressedSize
    const next = inOrder[i + 1]
    if (end > (next ? startOf(next) : size)) return refuseArchive('its parts lie over each other')
  }
  return ok(found)
}

const startOf = (entry: Entry): number => entry.relativeOffsetOfLocalHeader

function nextEntry(zip: ZipFile): Promise<Entry> {
  return new Promise((resolve, reject) => {
    const settle = () => {
      zip.off('entry', onEntry)
      zip.off('error', onError)
    }
    const onEntry = (entry: Entry) => {
      settle()
      resolve(entry)
    }
    const onError = (e: unknown) => {
      settle()
      reject(e instanceof Error ? e : new Error(String(e)))
    }
    zip.on('entry', onEntry)
    zip.on('error', onError)
    zip.readEntry()
  })
}

function lookAt(entry: Entry, name: string, limits: ArchiveLimits): Result<Part> {
  const shown = shownName(name)
  const fault = nameFault(name)
  if (fault) return refuseArchive(fault, shown)
  if (entry.isEncrypted()) return refuseArchive('it has a part that is encrypted', shown)
  const kind = (entry.externalFileAttributes >>> 16) & FILE_KIND
  if (kind === SYMLINK) return refuseArchive('it has a part that is a link to another file', shown)
  if (kind !== 0 && kind !== 0o100000) return refuseArchive('it has a part that is no plain file', shown)
  if (entry.compressionMethod !== 0 && entry.compressionMethod !== 8)
    return refuseArchive(`it has a part that is packed in another way (${entry.compressionMethod})`, shown)
  const part = parsePartName(name)
  if (!part) return refuseArchive('it has a part that belongs to no archive', shown)
  const most = part.kind in limits ? limits[part.kind as 'document' | 'manifest' | 'photo'] : limits.other
  if (entry.uncompressedSize > most)
    return refuseArchive(
      `it has a part of ${Math.round(entry.uncompressedSize / 1e6)} MB unpacked; ${(most / 1e6).toFixed(1)} MB is the most`,
      shown,
    )
  return ok(part)
}

function nameFault(name: string): string | null {
  if (/^[/\\]|^[A-Za-z]:/.test(name))
    return 'it has a part whose name leads to a place of its own on the disk'
  if (name.split(/[/\\]/).includes('..')) return 'it has a part whose name leads out of its folder'
  if (name.includes('\\')) return 'it has a part with a backslash in its name'
  return null
}

const shownName = (name: string): string => name.replace(/[^\x20-\x7e]/g, '?').slice(0, 80)
const wordsOf = (e: unknown): string => (e instanceof Error ? e.message : String(e))

async function* unpack(zip: ZipFile, name: string, entry: Entry | undefined): AsyncGenerator<Buffer> {
  const broken = (e: unknown) =>
    new ArchiveError(refuseArchive(`a part of it can’t be unpacked (${wordsOf(e)})`, name).error)
  if (!entry) throw broken('it is missing')
  let stream: Readable
  try {
    stream = await zip.openReadStreamPromise(entry)
  } catch (e) {
    throw broken(e)
  }
  try {
    for await (const chunk of stream as AsyncIterable<Buffer>) yield chunk
  } catch (e) {
    throw broken(e)
  } finally {
    stream.destroy()
  }
}
