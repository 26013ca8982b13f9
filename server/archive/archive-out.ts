import type { Writable } from 'node:stream'
import { Worker } from 'node:worker_threads'
import type { ArchiveScope } from '@/lib/archive'
import { openReader, type BoardSource } from '../storage/board-source'
import { writeArchive } from './write-archive'

/**
 * Writes an archive of this moment, which is said to be of `at`, into `out`, and ends it. Resolves when all of it was handed over; rejects where it can't be made, and
 * when `out` is given up. Never resolves with a part of it.
 */
export type ArchiveOut = (scope: ArchiveScope, at: number, out: Writable) => Promise<void>

/** What the thread is told. */
export interface ArchiveOrder {
  source: BoardSource
  scope: ArchiveScope
  at: number
}

/**
 * By a connection of its own, so that all of it is of one moment while edits go on. Between two parts others get their turn; each part holds up whatever else this thread
 * has to do.
 */
export const archiveHere =
  (source: BoardSource): ArchiveOut =>
  async (scope, at, out) => {
    const client = openReader(source)
    try {
      const written = await writeArchive(client, scope, out, { now: () => at })
      if (!written.ok) throw new Error(written.error.reason)
    } finally {
      client.close()
    }
  }

/** The same in a thread of its own, which runs `script`: a season takes seconds to read and pack, and nobody's edit waits for it. */
export const archiveInThread =
  (script: string, source: BoardSource): ArchiveOut =>
  (scope, at, out) =>
    new Promise((resolve, reject) => {
      const order: ArchiveOrder = { source, scope, at }
      const thread = new Worker(script, { workerData: order })
      // A server that stops does not wait for it.
      thread.unref()
      let isWhole = false
      out.once('close', () => void thread.terminate())
      thread.on('message', (bytes: Uint8Array | null) => {
        if (out.destroyed) return
        if (bytes === null) {
          isWhole = true
          out.end()
          // The next piece is asked for when this one was taken.
        } else out.write(bytes, (e) => e ?? thread.postMessage('taken'))
      })
      thread.once('error', reject)
      thread.once('exit', () => {
        if (isWhole) resolve()
        else reject(out.errored ?? new Error('The archive ended too early'))
      })
    })
