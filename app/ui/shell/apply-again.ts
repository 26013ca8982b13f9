import { fieldDef, runEdit, type EditContext } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { ok, type Result } from '@/lib/core/result'
import type { Draft } from '../../sync/client-store'

/** Whether a draft can be applied to the documents at hand: its field is still one of the board's. */
export const canApplyAgain = (
  ctx: EditContext,
  { room, rejection: { kind, path } }: Draft,
  open: OpenRooms,
) =>
  kind === 'lost' &&
  path !== null &&
  (room === open.kit || room === open.meeting) &&
  (room === open.kit || ctx.docs.meeting !== null) &&
  fieldDef(room === open.kit ? 'kit' : 'meeting', path.collection, path.field) !== undefined

export interface OpenRooms {
  kit: string
  meeting: string | null
}

/** [S23] Write what a restored board lost once more, signed by who does it now. */
export function applyAgain(ctx: EditContext, drafts: readonly Draft[], open: OpenRooms): Result<void> {
  return runEdit(ctx, 'apply again', (w) => {
    for (const { room, rejection } of drafts) {
      const { path, attempted } = rejection
      if (!path) continue
      const kind = room === open.kit ? 'kit' : 'meeting'
      const signed = fieldDef(kind, path.collection, path.field)?.signed ?? false
      w.put(kind, path.collection, path.recordId, path.field, signed ? signedAnew(attempted, w) : attempted)
    }
    return ok(undefined)
  })
}

function signedAnew(value: Json | null, { by, at }: { by: string; at: number }): Json | null {
  return value !== null && typeof value === 'object' && !Array.isArray(value) ? { ...value, by, at } : value
}
