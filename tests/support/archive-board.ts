import { createWriteStream, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DEMO_MEETING_ID, seedDemo } from '@/demo/seed'
import { exportDoc } from '@/lib/board'
import type { ArchiveScope } from '@/lib/archive'
import { checkArchive } from '@/server/archive/check-archive'
import { planArchive } from '@/server/archive/plan-archive'
import { readHistory } from '@/server/archive/read-rooms'
import { takeArchive } from '@/server/archive/take-archive'
import { writeArchive } from '@/server/archive/write-archive'
import { secureRandom } from '@/server/join/secret-hash'
import { SqlSessions } from '@/server/join/sql-sessions'
import { PhotoStore } from '@/server/photos/photo-store'
import { openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { createSyncServer } from '@/server/sync/sync-server'
import { must } from './must'
import { drawn, sha256 } from './pictures'

export const AT = Date.UTC(2026, 4, 2, 9)
export const MEETING_ROOM = `meeting-${DEMO_MEETING_ID}`

/** A board on a disk of its own, with the server's own sync and nobody connected. */
export class ArchiveBoard {
  readonly folder = mkdtempSync(join(tmpdir(), 'stagecall-archive-'))
  readonly clock = { at: AT, now: () => this.clock.at }
  readonly client = openDatabase(this.folder)
  readonly sync = createSyncServer({
    store: new SqliteStore(this.client),
    sessions: new SqlSessions(this.client, this.clock, secureRandom),
    clock: this.clock,
    log: { info: () => undefined, warn: () => undefined, error: () => undefined },
  })
  readonly photos = new PhotoStore(this.client, this.clock)
  readonly parts = { client: this.client, board: this.sync, photos: this.photos }

  /** The demo's team with two photos of a run, and some history. */
  static async withDemo(): Promise<ArchiveBoard> {
    const board = new ArchiveBoard()
    await seedDemo(board.sync, AT)
    for (const seed of [1, 2]) await board.addPhoto(`photo${seed}`, seed)
    board.clock.at += 60_000
    await board.write('kit', 'cars', 'rook', 'note', 'Front arm is new')
    await board.write('kit', 'cars', 'rook', 'note', 'Front arm is new, left one too')
    return board
  }

  async addPhoto(id: string, seed: number): Promise<void> {
    const [data, thumb] = [
      await drawn('jpeg', { seed }),
      await drawn('jpeg', { seed, width: 80, height: 60 }),
    ]
    const run = [...(await this.values(MEETING_ROOM)).keys()].find((k) => k.startsWith('entries/'))
    const runId = /^entries\/([^:]+)/.exec(run ?? '')?.[1] ?? ''
    for (const bytes of [data, thumb])
      this.photos.put(
        {
          meetingId: DEMO_MEETING_ID,
          runId,
          hash: sha256(bytes),
          type: 'image/jpeg',
          data: Buffer.from(bytes),
          personId: 'petra-amsel',
        },
        new Set(),
      )
    const v = {
      hash: sha256(data),
      thumb: sha256(thumb),
      type: 'image/jpeg',
      width: 320,
      height: 240,
      bytes: data.length,
    }
    await this.write(MEETING_ROOM, 'photos', id, 'runId', runId)
    await this.write(MEETING_ROOM, 'photos', id, 'picture', { v, by: 'petra-amsel', at: AT })
  }

  write(room: string, collection: string, recordId: string, field: string, value: unknown): Promise<void> {
    return this.sync.editAsServer(
      room,
      (doc) => void doc.getMap(collection).set(`${recordId}:${field}`, value),
    )
  }

  /** Every value of a room, by `collection/recordId:field`, as text. */
  values(room: string): Promise<Map<string, string>> {
    return this.sync.readRoom(room, (doc) => {
      const all = new Map<string, string>()
      for (const [collection, fields] of Object.entries(exportDoc(room === 'kit' ? 'kit' : 'meeting', doc)))
        for (const [key, value] of Object.entries(fields))
          all.set(`${collection}/${key}`, JSON.stringify(value))
      return all
    })
  }

  history(room: string): string[] {
    return [...readHistory(this.client, room)].flat().map((entry) => JSON.stringify(entry))
  }

  /** Everything that the database holds of boards, histories and photos, as one text. */
  everything(): string {
    const { connection } = this.client
    return ['rooms', 'updates', 'snapshots', 'authors', 'audit', 'people', 'photos']
      .map((table) => JSON.stringify(connection.prepare(`SELECT * FROM ${table}`).all()))
      .join('\n')
  }

  async archive(name = 'team.zip', scope: ArchiveScope = { kind: 'team' }): Promise<string> {
    const file = join(this.folder, name)
    must(await writeArchive(this.client, scope, createWriteStream(file), this.clock))
    return file
  }

  async plan(file: string) {
    const archive = must(await checkArchive(file))
    try {
      return await planArchive(archive, this.parts)
    } finally {
      archive.close()
    }
  }

  async take(file: string, conflicts: 'here' | 'archive' = 'here') {
    const archive = must(await checkArchive(file))
    try {
      const { digest } = await planArchive(archive, this.parts)
      return must(
        await takeArchive(archive, this.parts, { conflicts, digest, by: { personId: 'petra-amsel' } }),
      )
    } finally {
      archive.close()
    }
  }

  bytesOf(file: string): Buffer {
    return readFileSync(file)
  }

  #stopped = false
  /** Nothing of it is open any more. */
  async stop(): Promise<void> {
    if (this.#stopped) return
    this.#stopped = true
    await this.sync.close()
    this.client.close()
  }

  async dispose(): Promise<void> {
    await this.stop()
    rmSync(this.folder, { recursive: true, force: true })
  }
}
