import { canWrite, fieldDef, isMeeting, readField, runEdit, type EditContext } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { ok, type Refusal, type Result } from '@/lib/core/result'
import { parseRoomName } from '@/lib/sync/room-name'
import type { Draft, LostMeeting } from '@/app/sync/client-store'
import type { SyncClient } from '@/app/sync/sync-client'

const meetingIdOf = (room: string): string | null => {
  const name = parseRoomName(room)
  return name?.kind === 'meeting' ? name.meetingId : null
}

/** Whether the kit has what a room's drafts belong to. */
export function isRoomThere({ docs: { kit } }: EditContext, room: string): boolean {
  const id = meetingIdOf(room)
  return id === null || isMeeting({ field: (_doc, ...path) => readField(kit, ...path) }, id)
}

/** [S23] Whether a draft can be applied again: its field is still one of the board's, and so is its meeting. */
export const canApplyAgain = (ctx: EditContext, { room, rejection: { kind, path } }: Draft): boolean =>
  kind === 'lost' &&
  path !== null &&
  fieldDef(parseRoomName(room)?.kind ?? 'meeting', path.collection, path.field) !== undefined &&
  isRoomThere(ctx, room)

/**
 * [S23] Write what a restored board lost once more, signed by who does it now, each room's drafts in one edit: what they refer to may be among
 * them. Where that is refused, as many of them as can be written.
 *
 * @returns which drafts were applied, and why the others were not
 */
export async function applyAgain(
  client: SyncClient,
  drafts: readonly Draft[],
): Promise<{ applied: Draft[]; refused: Refusal | null }> {
  const applied: Draft[] = []
  let refused: Refusal | null = null
  // The kit first: meetings refer to it.
  const rooms = [...new Set(drafts.map((d) => d.room))].sort(
    (a, b) => Number(b === 'kit') - Number(a === 'kit'),
  )
  for (const room of rooms) {
    const here = drafts.filter((d) => d.room === room)
    await client.editIn(room, (ctx) => {
      if (write(ctx, here).ok) return void applied.push(...here)
      for (const draft of here) {
        const done = write(ctx, [draft])
        if (done.ok) applied.push(draft)
        else refused = done.error
      }
    })
  }
  return { applied, refused }
}

const write = (ctx: EditContext, drafts: readonly Draft[]): Result<void> =>
  runEdit(ctx, 'apply again', (w) => {
    for (const { room, rejection } of drafts) {
      const { path, attempted } = rejection
      if (!path) continue
      const kind = room === 'kit' ? 'kit' : 'meeting'
      const signed = fieldDef(kind, path.collection, path.field)?.signed ?? false
      w.put(kind, path.collection, path.recordId, path.field, signed ? signedAnew(attempted, w) : attempted)
    }
    return ok(undefined)
  })

function signedAnew(value: Json | null, { by, at }: { by: string; at: number }): Json | null {
  return value !== null && typeof value === 'object' && !Array.isArray(value) ? { ...value, by, at } : value
}

/** Meetings that drafts belong to and that the restored board does not have, by room. */
export function lostMeetings(ctx: EditContext, drafts: readonly Draft[]): Map<string, LostMeeting> {
  const lost = new Map<string, LostMeeting>()
  for (const { room, meeting } of drafts)
    if (meeting && !isRoomThere(ctx, room)) lost.set(room, { ...lost.get(room), ...meeting })
  return lost
}

export const mayMakeAgain = (ctx: EditContext, room: string): boolean =>
  canWrite(ctx, 'kit', 'meetings', meetingIdOf(room) ?? '', 'name')

/** [S23] Enter a lost meeting in the kit again, under the id that every phone knows it by. */
export function makeMeetingAgain(ctx: EditContext, room: string, meeting: LostMeeting): Result<void> {
  return runEdit(ctx, 'make meeting again', (w) => {
    const id = meetingIdOf(room)
    if (id !== null) w.kit('meetings', id, { ...meeting, name: meeting.name ?? 'Meeting without a name' })
    return ok(undefined)
  })
}
