import * as Y from 'yjs'
import type { BoardSync } from '@/server/board-sync'

/** A board without sockets or disk, for tests of what stands beside the sync. */
export function fakeSync() {
  const docs = new Map<string, Y.Doc>()
  const docOf = (room: string) => {
    let doc = docs.get(room)
    if (!doc) docs.set(room, (doc = new Y.Doc()))
    return doc
  }
  let trouble: Error | null = null
  const sync: BoardSync = {
    editAsServer: async (room, edit, alongside) => {
      await Promise.resolve()
      if (trouble) throw trouble
      docOf(room).transact(() => edit(docOf(room)))
      alongside?.()
    },
    readRoom: async (room, read) => {
      await Promise.resolve()
      return read(docOf(room))
    },
    handleUpgrade: (_req, socket) =>
      void socket.end('HTTP/1.1 426 Upgrade Required\r\nContent-Length: 0\r\n\r\n'),
    stats: () => ({
      rooms: docs.size,
      sockets: 0,
      readOnly: trouble?.message ?? null,
      turns: 0,
      failedCommits: 0,
      edits: { accepted: 0, refused: 0, overwritten: 0 },
      framesRefused: 0,
    }),
    close: () => Promise.resolve(),
  }
  return { sync, docOf, fail: (e: Error | null) => void (trouble = e) }
}
