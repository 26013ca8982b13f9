import * as Y from 'yjs'
import { BoardReading, type BoardDocs, type EditContext } from '@/lib/board'
import type { Role } from '@/lib/core/role'

/**
 * A board of its own for one test: two documents, a clock that moves a second per reading, and edit contexts by role. `docs` and `start`: for
 * documents that are in exchange with a server.
 */
export function testBoard(
  docs: BoardDocs = { kit: new Y.Doc(), meeting: new Y.Doc() },
  start = Date.UTC(2026, 4, 2, 9, 0, 0),
) {
  const reading = new BoardReading(docs)
  let now = start
  const clock = { now: () => (now += 1000) }
  const as = (role: Role, personId: string = role): EditContext => ({
    docs,
    clock,
    actor: { role, personId },
  })
  return { docs, view: () => reading.view(), as, clock, close: () => reading.close() }
}

/** Exchange everything two boards know, as a reconnect would. */
export function merge(a: BoardDocs, b: BoardDocs): void {
  for (const kind of ['kit', 'meeting'] as const) {
    const [x, y] = [a[kind], b[kind]]
    if (!x || !y) continue
    Y.applyUpdate(y, Y.encodeStateAsUpdate(x))
    Y.applyUpdate(x, Y.encodeStateAsUpdate(y))
  }
}
