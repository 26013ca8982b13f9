import * as Y from 'yjs'
import { BoardReading, collectionNames, exportDoc, parseKey, writeField, type DocKind } from '@/lib/board'
import { meetingDay } from '@/lib/card'
import { formatRoomName } from '@/lib/sync/room-name'
import { earlierActs, storageActs } from './seed/earlier'
import { SEASON_MEETINGS } from './season/plan'
import { seasonActs, seasonKitActs } from './season/season-acts'
import { kitActs, writeServerPart } from './seed/kit-acts'
import { packReadingActs } from './seed/pack-readings'
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
  play({ kit: boards.kit, meeting: null }, [...kitActs(now - 170 * DAY), ...seasonKitActs(now)])
  play({ kit: boards.kit, meeting: null }, packReadingActs(now - 59 * DAY))
  play({ kit: boards.kit, meeting: boards.earlier }, earlierActs(now))
  play({ kit: boards.kit, meeting: null }, storageActs(now - 34 * DAY))
  play({ kit: boards.kit, meeting: boards.today }, todayActs(now))
  return boards
}

/** The meetings before that, by their ids: built one by one, where they are missing. */
export function buildSeason(now: number, kit: Y.Doc, meetingId: string): Y.Doc {
  const meeting = SEASON_MEETINGS.find((m) => m.id === meetingId)
  if (!meeting) throw new Error(`The demo's season has no ${meetingId}`)
  const doc = new Y.Doc()
  play({ kit, meeting: doc }, seasonActs(now, meeting))
  return doc
}
export const DEMO_SEASON_IDS: readonly string[] = SEASON_MEETINGS.map((m) => m.id)

/**
 * Write the demo into an empty data folder. A room that already holds the demo is left as it is, unless the day of the demo's meeting is over:
 * then that meeting is written anew for `now`, and the demo's packs and tire sets stand as they do on that day. Everything else stays: other
 * meetings, and what was entered or changed in the kit.
 *
 * @returns the day that was over, ms since the epoch; null when nothing was written anew.
 */
export async function seedDemo(target: DemoTarget, now: number): Promise<{ dayWas: number | null }> {
  const boards = buildDemo(now)
  const dayWas = await freshen(target, boards, now)
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
  // A board from before the demo had a season knows none of its meetings.
  const listed = (kit: Y.Doc) => DEMO_SEASON_IDS.filter((id) => kit.getMap('meetings').has(`${id}:name`))
  let seasonIds: string[] = []
  await target.editAsServer(formatRoomName({ kind: 'kit' }), (kit) => void (seasonIds = listed(kit)))
  for (const meetingId of seasonIds)
    await target.editAsServer(formatRoomName({ kind: 'meeting', meetingId }), (doc) => {
      if (doc.getMap('heats').size === 0) copyBoard('meeting', buildSeason(now, boards.kit, meetingId), doc)
    })
  return { dayWas }
}

async function freshen(target: DemoTarget, boards: DemoBoards, now: number): Promise<number | null> {
  let dayWas: number | null = null
  await target.editAsServer(formatRoomName({ kind: 'meeting', meetingId: TODAY_ID }), (doc) => {
    const reading = new BoardReading({ kit: new Y.Doc(), meeting: doc })
    const day = meetingDay(reading.view(), now)
    reading.close()
    if (day?.when !== 'past') return
    dayWas = day.at
    for (const collection of collectionNames('meeting')) doc.getMap(collection).clear()
    copyBoard('meeting', boards.today, doc)
  })
  if (dayWas === null) return null
  await target.editAsServer(formatRoomName({ kind: 'kit' }), (doc) => {
    const fresh = exportDoc('kit', boards.kit)
    for (const [collection, fields] of Object.entries(fresh))
      for (const [key, value] of Object.entries(fields)) {
        const at = parseKey(key)
        if (at && isOfTheDay(collection, at.recordId, at.field))
          writeField(doc, collection, at.recordId, at.field, value)
      }
  })
  return dayWas
}

/** What a day moves in the kit: where packs and sets are, what they have done, and when the meeting is. */
const OF_THE_DAY: Readonly<Record<string, readonly string[]>> = {
  packs: ['state', 'restVoltageV', 'chargePercent', 'cycles'],
  tireSets: ['state', 'onCarId', 'runs'],
}
const isOfTheDay = (collection: string, recordId: string, field: string): boolean =>
  collection === 'meetings'
    ? recordId === TODAY_ID && field === 'startsAt'
    : (OF_THE_DAY[collection]?.includes(field) ?? false)

function copyBoard(kind: DocKind, from: Y.Doc, to: Y.Doc): void {
  const there = exportDoc(kind, to)
  for (const [collection, fields] of Object.entries(exportDoc(kind, from)))
    for (const [key, value] of Object.entries(fields)) {
      const at = parseKey(key)
      if (!at || Object.hasOwn(there[collection] ?? {}, key)) continue
      writeField(to, collection, at.recordId, at.field, value)
    }
}
