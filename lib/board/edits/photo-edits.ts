import { newId } from '../../core/id'
import { PHOTOS_PER_RUN } from '../../core/photo-limits'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { PictureFacts } from '../meeting-collections'
import type { BoardReader } from '../ownership'
import { runEdit, type EditContext } from '../write-session'

/** A run's photos that were not removed, in the order in which they were taken. */
export const photosOf = (view: BoardView, runId: string) =>
  view.photos.live
    .filter((p) => p.runId === runId && p.picture?.v)
    .sort((a, b) => (a.picture?.at ?? 0) - (b.picture?.at ?? 0) || (a.id < b.id ? -1 : 1))

/** Hang a photo on a run. Its bytes go to the server beside the board, now or when there is a connection. */
export function addPhoto(ctx: EditContext, t: { runId: string; picture: PictureFacts }): Result<string> {
  return runEdit(ctx, 'add-photo', (w) => {
    const there = hashesOf(w.reader, t.runId)
    if (there.includes(t.picture.hash))
      return refuse('Photo', '', 'this run has it already', 'Choose another one.')
    if (there.length >= PHOTOS_PER_RUN)
      return refuse(
        'Photo',
        '',
        `this run has ${PHOTOS_PER_RUN} photos already`,
        'Remove one that tells least.',
      )
    const id: string = newId()
    w.meeting('photos', id, { runId: t.runId, picture: w.stamp(t.picture) })
    return ok(id)
  })
}

function hashesOf(read: BoardReader, runId: string): string[] {
  const field = (id: string, name: string) => read.field('meeting', 'photos', id, name)
  return [...read.ids('meeting', 'photos')].flatMap((id) => {
    if (field(id, 'runId') !== runId || field(id, 'removed') === true) return []
    const picture = field(id, 'picture') as { v?: { hash?: string } | null } | undefined
    return picture?.v?.hash ?? []
  })
}
