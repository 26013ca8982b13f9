import { createHash } from 'node:crypto'
import { Readable, type Writable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { ZipFile } from 'yazl'
import * as Y from 'yjs'
import { DatabaseError } from '@/drizzle/database-error'
import { ARCHIVE_FORMAT, partName, type ArchiveManifest, type ArchiveScope, type Part } from '@/lib/archive'
import { collectionNames, schemaVersion, type DocKind } from '@/lib/board'
import { columnsCsv, writeList } from '@/lib/lists'
import type { Clock } from '@/lib/core/clock'
import { ok, refuse, type Result } from '@/lib/core/result'
import { checkPicture } from '@/lib/photo'
import { formatRoomName, parseRoomName } from '@/lib/sync/room-name'
import { PhotoStore } from '../photos/photo-store'
import { readRoomDoc } from '../storage/read-room-doc'
import { readStore, type BoardClient } from '../storage/board-client'
import type { Store } from '../storage/store'
import { ABOUT } from './about'
import { boardText, kitOfMeeting, knowsMeeting, photosNamed } from './board-text'
import { readHistory, readPhotoRows } from './read-rooms'
import { Seal } from './seal'

export interface WrittenArchive {
  parts: number
  bytes: number
  notes: string[]
}

const MAX_NOTES = 200

/**
 * Write a meeting or the whole team, as it is at this moment, as one sealed zip. `client` may belong to a board that others write to meanwhile;
 * nothing else may use it. Each part is made when it is its turn and goes on as `out` takes it, so that no more than one document is in memory.
 *
 * Errors: the board has no such meeting. @throws DatabaseError, and what `out` fails with
 */
export async function writeArchive(
  client: BoardClient,
  scope: ArchiveScope,
  out: Writable,
  clock: Clock,
): Promise<Result<WrittenArchive>> {
  // All of it from one moment: what is written after the first read belongs to the next archive.
  const thaw = client.freeze()
  try {
    const store = readStore(client)
    const wanted = scope.kind === 'meeting' ? formatRoomName(scope) : null
    if (scope.kind === 'meeting' && !hasMeeting(client, scope.meetingId))
      return refuse('Meeting', '', 'the board has nothing of it', 'Choose another meeting.')
    const rooms = ['kit', ...store.rooms().filter((r) => r !== 'kit' && (wanted === null || r === wanted))]
    return ok(await new Archivist(client, store, scope, clock, out).write(rooms))
  } finally {
    thaw()
  }
}

/** Whether the board has a meeting that an archive can hold: something of it, and its name on the kit's list. */
export function hasMeeting(client: BoardClient, meetingId: string): boolean {
  const store = readStore(client)
  if (!store.rooms().includes(formatRoomName({ kind: 'meeting', meetingId }))) return false
  const kit = readRoomDoc(store, 'kit')
  const knows = knowsMeeting(kit, meetingId)
  kit.destroy()
  return knows
}

class Archivist {
  readonly #zip = new ZipFile()
  readonly #seal = new Seal()
  readonly #piped: Promise<void>
  /** Rejects when what takes the bytes is gone; never resolves before the end. */
  readonly #broken: Promise<never>
  readonly #parts: ArchiveManifest['parts'] = {}
  readonly #notes: string[] = []
  readonly #photos: PhotoStore
  readonly #at: Date
  /** Lists of meetings name what is in it. */
  #kit: Y.Doc | null = null

  constructor(
    readonly client: BoardClient,
    readonly store: Store,
    readonly scope: ArchiveScope,
    clock: Clock,
    out: Writable,
  ) {
    this.#at = new Date(clock.now())
    this.#photos = new PhotoStore(client, clock)
    this.#piped = pipeline(this.#zip.outputStream, this.#seal, out)
    this.#broken = this.#piped.then(() => Promise.reject(new Error('The archive ended too early')))
    // Looked at with each part; in between nobody waits for it.
    this.#broken.catch(() => undefined)
  }

  async write(rooms: readonly string[]): Promise<WrittenArchive> {
    try {
      return await this.#writeAll(rooms)
    } catch (e) {
      // Whoever reads must not take what there is for a whole archive.
      this.#seal.destroy(e instanceof Error ? e : new Error(String(e)))
      throw e
    }
  }

  async #writeAll(rooms: readonly string[]): Promise<WrittenArchive> {
    await this.#add({ kind: 'about' }, [ABOUT])
    await this.#add({ kind: 'columns' }, [columnsCsv()])
    for (const room of rooms) await this.#room(room)
    const manifest: ArchiveManifest = {
      format: ARCHIVE_FORMAT,
      createdAt: this.#at.toISOString(),
      scope: this.scope,
      schema: schemaVersion(),
      notes: this.#notes,
      parts: { ...this.#parts },
    }
    await this.#add({ kind: 'manifest' }, [JSON.stringify(manifest, null, 1)])
    this.#zip.end()
    await this.#piped
    return { parts: Object.keys(this.#parts).length, bytes: this.#seal.bytes, notes: this.#notes }
  }

  async #room(room: string): Promise<void> {
    const name = parseRoomName(room)
    if (!name) return
    if (name.kind === 'meeting' && this.#kit && !knowsMeeting(this.#kit, name.meetingId))
      // Left by an import that was cut off before the kit's turn.
      return this.#note(`${room} is not in the archive: the kit does not know this meeting.`)
    const kind: DocKind = name.kind
    const stored = readRoomDoc(this.store, room)
    const cutFor = kind === 'kit' && this.scope.kind === 'meeting' ? this.scope.meetingId : null
    const doc = cutFor === null ? stored : kitOfMeeting(stored, cutFor)
    await this.#add({ kind: 'document', room }, [Y.encodeStateAsUpdate(doc)])
    await this.#add({ kind: 'board', room }, [boardText(kind, doc)])
    const docs = kind === 'kit' ? { kit: doc, meeting: null } : { kit: this.#kit ?? doc, meeting: doc }
    for (const collection of collectionNames(kind))
      await this.#add({ kind: 'list', room, collection }, [
        writeList(docs, kind, collection, { removed: true }),
      ])
    if (kind === 'kit') this.#kit = doc
    // The history of the whole kit is the team's: it goes with the team alone.
    if (cutFor === null) await this.#add({ kind: 'audit', room }, this.#history(room))
    if (name.kind === 'meeting') await this.#photosOf(name.meetingId, photosNamed(doc))
    if (kind === 'meeting') stored.destroy()
  }

  *#history(room: string): Generator<string> {
    for (const entries of readHistory(this.client, room))
      yield entries.map(({ room: _, ...entry }) => `${JSON.stringify(entry)}\n`).join('')
  }

  async #photosOf(meetingId: string, named: ReadonlySet<string>): Promise<void> {
    // Others are uploads whose word has not arrived: the board does not show them.
    const rows = readPhotoRows(this.client, meetingId).filter((row) => named.has(row.hash))
    const taken: string[] = []
    for (const row of rows) {
      const data = this.#photo(meetingId, row.hash)
      if (!data) continue
      const looked = checkPicture(data)
      if (!looked.ok) {
        // An earlier version took others: no server would take the archive with it.
        this.#note(`Photo ${row.hash.slice(0, 12)} is not in the archive: ${looked.error.reason}.`)
        continue
      }
      // They are compressed already.
      await this.#add({ kind: 'photo', meetingId, hash: row.hash }, [data], false)
      taken.push(`${JSON.stringify(row)}\n`)
    }
    if (taken.length > 0) await this.#add({ kind: 'photos', meetingId }, [taken.join('')])
  }

  #photo(meetingId: string, hash: string): Buffer | null {
    try {
      return this.#photos.get(meetingId, hash)?.data ?? null
    } catch (e) {
      if (!(e instanceof DatabaseError && e.trouble === 'damaged')) throw e
      this.#note(`Photo ${hash.slice(0, 12)} is damaged on the server and not in the archive.`)
      return null
    }
  }

  #note(text: string): void {
    if (this.#notes.length < MAX_NOTES) this.#notes.push(text)
  }

  async #add(part: Part, pieces: Iterable<string | Uint8Array>, compress = true): Promise<void> {
    const name = partName(part)
    const stream = Readable.from(this.#hashed(name, pieces), { objectMode: false })
    const read = new Promise<void>((resolve, reject) => {
      stream.once('end', resolve)
      stream.once('error', reject)
    })
    // `mode` says that it is a plain file, which nobody may run.
    this.#zip.addReadStream(stream, name, { mtime: this.#at, mode: 0o100644, compress })
    await Promise.race([read, this.#broken])
  }

  *#hashed(name: string, pieces: Iterable<string | Uint8Array>): Generator<Buffer> {
    const hash = createHash('sha256')
    let bytes = 0
    for (const piece of pieces) {
      const chunk =
        typeof piece === 'string'
          ? Buffer.from(piece)
          : Buffer.from(piece.buffer, piece.byteOffset, piece.byteLength)
      hash.update(chunk)
      bytes += chunk.length
      if (chunk.length > 0) yield chunk
    }
    this.#parts[name] = { bytes, sha256: hash.digest('hex') }
  }
}
