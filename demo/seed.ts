import * as Y from 'yjs'
import { exportDoc, parseKey, writeField, type DocKind } from '@/lib/board'
import { formatRoomName } from '@/lib/sync/room-name'
import { earlierActs, storageActs } from './seed/earlier'
import { kitActs, writeServerPart } from './seed/kit-acts'
import { DAY, play } from './seed/story'
import { EARLIER_ID, TODAY_ID, todayActs } from './seed/today'

export const DEMO_MEETING_ID = TODAY_ID
export const DEMO_EARLIER_MEETING_ID = EARLIER_ID

/** Where the demo is written to: the server's own edits, room by room. */
export interface DemoTarget {
  editAsServer(room: string, edit: (doc: Y.Doc) => void): Promise<void>
}

export interface DemoBoards {
  kit: Y.Doc
  today: Y.Doc
  earlier: Y.Doc
}

/**
 * The invented team's boards as they stand at `now` (ms since the epoch), in the middle of the second round. Everything is written through
 * the board's own edits, each by the person and at the time that its stamps say, so the demo holds nothing that a user could not have written.
 * Equal `now`, equal boards.
 */
export function buildDemo(now: number): DemoBoards {
  const boards = { kit: new Y.Doc(), today: new Y.Doc(), earlier: new Y.Doc() }
  writeServerPart(boards.kit)
  play({ kit: boards.kit, meeting: null }, kitActs(now - 60 * DAY))
  play({ kit: boards.kit, meeting: boards.earlier }, earlierActs(now))
  play({ kit: boards.kit, meeting: null }, storageActs(now - 34 * DAY))
  play({ kit: boards.kit, meeting: boards.today }, todayActs(now))
  return boards
}

/** Write the demo into an empty data folder. A room that already holds the demo is left as it is. */
export async function seedDemo(target: DemoTarget, now: number): Promise<void> {
  const boards = buildDemo(now)
  const rooms = [
    { room: formatRoomName({ kind: 'kit' }), kind: 'kit', from: boards.kit, sign: 'cars' },
    {
      room: formatRoomName({ kind: 'meeting', meetingId: EARLIER_ID }),
      kind: 'meeting',
      from: boards.earlier,
      sign: 'heats',
    },
    {
      room: formatRoomName({ kind: 'meeting', meetingId: TODAY_ID }),
      kind: 'meeting',
      from: boards.today,
      sign: 'heats',
    },
  ] as const
  for (const { room, kind, from, sign } of rooms)
    await target.editAsServer(room, (doc) => {
      if (doc.getMap(sign).size === 0) copyBoard(kind, from, doc)
    })
}

function copyBoard(kind: DocKind, from: Y.Doc, to: Y.Doc): void {
  const there = exportDoc(kind, to)
  for (const [collection, fields] of Object.entries(exportDoc(kind, from)))
    for (const [key, value] of Object.entries(fields)) {
      const at = parseKey(key)
      if (!at || Object.hasOwn(there[collection] ?? {}, key)) continue
      writeField(to, collection, at.recordId, at.field, value)
    }
}
