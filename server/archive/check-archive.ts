import { createHash } from 'node:crypto'
import type * as Y from 'yjs'
import { z } from 'zod'
import { partName, readManifest, type ArchiveManifest, type Part } from '@/lib/archive'
import type { DocKind } from '@/lib/board'
import { PHOTO_HASH } from '@/lib/core/photo-limits'
import type { Json } from '@/lib/core/json'
import { ok, type Result } from '@/lib/core/result'
import { checkPicture } from '@/lib/photo'
import { parseRoomName } from '@/lib/sync/room-name'
import type { AuditEntry } from '../storage/store'
import { isPlainJson } from '../sync/plain-json'
import { ARCHIVE_LIMITS, type ArchiveLimits } from './archive-limits'
import { boardText, knowsMeeting } from './board-text'
import { ArchiveError, openArchive, refuseArchive, type OpenArchive } from './open-archive'
import type { PhotoRow } from './read-rooms'
import { readDocument } from './read-document'

const time = z.int().min(0).max(8.64e15)
const DEPTH = 32
/** Not deep enough to overflow the stack of whoever walks it. */
const jsonValue = z.custom<Json>((value) => isPlainJson(value, DEPTH), 'is no plain value')
const auditSchema = z.strictObject({
  at: time,
  personId: z.string().max(200),
  deviceId: z.string().max(200),
  collection: z.string().max(200),
  recordId: z.string().max(400),
  field: z.string().max(200),
  before: jsonValue,
  after: jsonValue,
  outcome: z.enum(['accepted', 'overwritten', 'refused']),
})
const photoSchema = z.strictObject({
  hash: z.string().regex(PHOTO_HASH),
  runId: z.string().max(200),
  type: z.string().max(40),
  personId: z.string().max(200),
  at: time,
})

/** An archive of which every byte has been looked at. Closed by whoever opened it. */
export interface CheckedArchive {
  seal: string
  manifest: ArchiveManifest
  /** `kit` first. */
  rooms: readonly string[]
  document(room: string): Promise<Y.Doc>
  /** A room's history, oldest first. */
  history(room: string): AsyncIterable<AuditEntry>
  photos(meetingId: string): Promise<PhotoRow[]>
  photo(meetingId: string, hash: string): Promise<Buffer>
  close(): void
}

/**
 * Look at an archive whole: shape, sizes, the hash of each part, each value of each board, each line of each history, each photo. Holds no more
 * than one document, photo or line at a time. Errors say what is wrong; then nothing is open.
 */
export async function checkArchive(
  file: string,
  limits: ArchiveLimits = ARCHIVE_LIMITS,
): Promise<Result<CheckedArchive>> {
  const opened = await openArchive(file, limits)
  if (!opened.ok) return opened
  const archive = opened.value
  try {
    const checked = await checkParts(archive, limits)
    if (!checked.ok) archive.close()
    return checked
  } catch (e) {
    archive.close()
    if (e instanceof ArchiveError) return { ok: false, error: e.refusal }
    throw e
  }
}

async function checkParts(archive: OpenArchive, limits: ArchiveLimits): Promise<Result<CheckedArchive>> {
  const { parts } = archive
  const own = partName({ kind: 'manifest' })
  if (!parts.has(own)) return refuseArchive('its manifest is missing')
  const read = readManifest((await wholePart(archive, own)).toString('utf8'))
  if (!read.ok) return read
  const manifest = read.value
  const named = new Set(Object.keys(manifest.parts))
  for (const name of parts.keys())
    if (name !== own && !named.has(name))
      return refuseArchive('it has a part that its manifest does not name', name)
  for (const name of named)
    if (!parts.has(name)) return refuseArchive('a part that its manifest names is missing', name)

  const rooms: string[] = []
  for (const { part } of parts.values()) if (part.kind === 'document') rooms.push(part.room)
  rooms.sort((a, b) => Number(b === 'kit') - Number(a === 'kit') || (a < b ? -1 : 1))
  if (rooms[0] !== 'kit') return refuseArchive('it has no kit')
  if (manifest.scope.kind === 'meeting' && rooms.join() !== `kit,meeting-${manifest.scope.meetingId}`)
    return refuseArchive('it says that it holds one meeting and holds others')

  for (const [name, { part }] of parts) {
    if (part.kind === 'manifest') continue
    const whole = await checkBytes(archive, name, part, manifest, limits)
    if (!whole.ok) return whole
    if ('room' in part && !rooms.includes(part.room))
      return refuseArchive('it has a part of a board that it lacks', name)
  }
  const reader = readerOf(archive, manifest, rooms, limits)
  const boards = await checkBoards(reader, manifest)
  return boards.ok ? ok(reader) : boards
}

/** A part's size and hash, and that its lines or its picture can be read. */
async function checkBytes(
  archive: OpenArchive,
  name: string,
  part: Part,
  manifest: ArchiveManifest,
  limits: ArchiveLimits,
): Promise<Result<void>> {
  const hash = createHash('sha256')
  let bytes = 0
  async function* seen(): AsyncGenerator<Buffer> {
    for await (const chunk of archive.read(name)) {
      hash.update(chunk)
      bytes += chunk.length
      yield chunk
    }
  }
  let looked: Result<void> = ok(undefined)
  if (part.kind === 'audit' || part.kind === 'photos') {
    const schema = part.kind === 'audit' ? auditSchema : photoSchema
    for await (const line of linesOf(seen(), limits.line, name))
      if (looked.ok && !schema.safeParse(jsonOf(line)).success)
        looked = refuseArchive('it has a line that is not as it should be', `${name}: ${line.slice(0, 60)}`)
  } else if (part.kind === 'photo') looked = checkPhoto(Buffer.concat(await gather(seen())), part.hash, name)
  else for await (const _ of seen());
  const told = manifest.parts[name]
  if (told?.bytes !== bytes)
    return refuseArchive(`a part has ${bytes} bytes, the manifest says ${told?.bytes ?? 0}`, name)
  if (told.sha256 !== hash.digest('hex'))
    return refuseArchive('a part is not the one that the manifest names', name)
  return looked
}

function checkPhoto(data: Buffer, hash: string, name: string): Result<void> {
  if (createHash('sha256').update(data).digest('hex') !== hash)
    return refuseArchive('it has a photo that is not the one it says it is', name)
  const read = checkPicture(data)
  return read.ok
    ? ok(undefined)
    : refuseArchive(`it has a photo that can’t be shown: ${read.error.reason}`, name)
}

/** Every board value by value; the readable copy says the same; the kit knows every meeting. */
async function checkBoards(archive: CheckedArchive, { parts }: ArchiveManifest): Promise<Result<void>> {
  const kit = await archive.document('kit')
  for (const room of archive.rooms) {
    const doc = room === 'kit' ? kit : await archive.document(room)
    const text = boardText(kindOf(room), doc)
    const board = parts[partName({ kind: 'board', room })]
    if (board?.sha256 !== createHash('sha256').update(text).digest('hex'))
      return refuseArchive('its readable copy doesn’t match its document', room)
    const name = parseRoomName(room)
    if (name?.kind !== 'meeting') continue
    if (!knowsMeeting(kit, name.meetingId))
      return refuseArchive('it has a meeting that its kit does not know', room)
    for (const row of await archive.photos(name.meetingId))
      if (!parts[partName({ kind: 'photo', meetingId: name.meetingId, hash: row.hash })])
        return refuseArchive('it lists a photo that it does not have', row.hash)
    doc.destroy()
  }
  return ok(undefined)
}

export const kindOf = (room: string): DocKind => (room === 'kit' ? 'kit' : 'meeting')

function readerOf(
  archive: OpenArchive,
  manifest: ArchiveManifest,
  rooms: readonly string[],
  limits: ArchiveLimits,
): CheckedArchive {
  return {
    seal: archive.seal,
    manifest,
    rooms,
    async document(room) {
      const name = partName({ kind: 'document', room })
      const read = readDocument(kindOf(room), await wholePart(archive, name), name)
      if (!read.ok) throw new ArchiveError(read.error)
      return read.value
    },
    async *history(room) {
      const name = partName({ kind: 'audit', room })
      if (!archive.parts.has(name)) return
      for await (const line of linesOf(archive.read(name), limits.line, name))
        yield { room, ...auditSchema.parse(jsonOf(line)) }
    },
    async photos(meetingId) {
      const name = partName({ kind: 'photos', meetingId })
      const rows: PhotoRow[] = []
      if (archive.parts.has(name))
        for await (const line of linesOf(archive.read(name), limits.line, name))
          rows.push(photoSchema.parse(jsonOf(line)))
      return rows
    },
    photo: (meetingId, hash) => wholePart(archive, partName({ kind: 'photo', meetingId, hash })),
    close: () => archive.close(),
  }
}

async function gather(chunks: AsyncIterable<Buffer>): Promise<Buffer[]> {
  const all: Buffer[] = []
  for await (const chunk of chunks) all.push(chunk)
  return all
}

/** For parts whose size was looked at when the archive was opened; they unpack to no more than they say. */
const wholePart = async (archive: OpenArchive, name: string): Promise<Buffer> =>
  Buffer.concat(await gather(archive.read(name)))

function jsonOf(line: string): unknown {
  try {
    return JSON.parse(line)
  } catch {
    return undefined
  }
}

const tooLong = (name: string) =>
  new ArchiveError(refuseArchive('it has a line that is too long', name).error)

/** A text's lines; one that is too long is a fault, whatever it holds. */
async function* linesOf(chunks: AsyncIterable<Buffer>, most: number, name: string): AsyncGenerator<string> {
  let rest: Buffer = Buffer.alloc(0)
  for await (const chunk of chunks) {
    let from = 0
    for (let end = chunk.indexOf(10); end >= 0; end = chunk.indexOf(10, from)) {
      if (rest.length + end - from > most) throw tooLong(name)
      yield Buffer.concat([rest, chunk.subarray(from, end)]).toString('utf8')
      rest = Buffer.alloc(0)
      from = end + 1
    }
    rest = Buffer.concat([rest, chunk.subarray(from)])
    if (rest.length > most)
      throw new ArchiveError(refuseArchive('it has a line that is too long', name).error)
  }
  if (rest.length > 0) throw new ArchiveError(refuseArchive('it has a line that is cut off', name).error)
}
