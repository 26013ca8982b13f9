'use client'
import { useId, useRef, useState } from 'react'
import { addPhoto, canWrite, photosOf, type PictureFacts } from '@/lib/board'
import { PHOTOS_PER_RUN } from '@/lib/core/photo-limits'
import { refuse } from '@/lib/core/result'
import { formatRoomName } from '@/lib/sync/room-name'
import { useBoard, useEditContext, useSession, useSyncClient, useSyncPart } from '@/app/sync'
import { Button, Ticket, TicketHead, useToasts } from '@/app/ui'
import { PhotoDialog } from './photo-dialog'
import { PhotoThumb } from './photo-thumb'
import { theShelf } from './shelf'
import { shrinkPhoto } from './shrink-photo'
import { useOutgoing } from './use-outgoing'

const NOT_NOW = refuse(
  'Photo',
  '',
  'this phone can’t write to the board right now',
  'Keep the picture and add it again.',
)
const NO_ROOM = refuse(
  'Photo',
  '',
  'this phone has no room for it, or saves nothing (a private window never does)',
  'Free up some space, or use another phone.',
).error

/** What was photographed of a run: worn tires, a broken part, a read-back on a display. Taken offline too. */
export function RunPhotos({ meetingId, runId }: { meetingId: string; runId: string }) {
  const view = useBoard()
  const ctx = useEditContext()
  const { role } = useSession()
  const photos = photosOf(view, runId)
  const outgoing = useOutgoing()
  const [shown, setShown] = useState<string | null>(null)
  const may = canWrite(ctx, 'meeting', 'photos', 'new', 'picture')
  const open = photos.find((p) => p.id === shown)
  if (role === 'guest') return null
  return (
    <Ticket id="photos" label="Photos">
      <TicketHead title="Photos" stub={`${photos.length} of ${PHOTOS_PER_RUN}`} />
      {photos.length === 0 && (
        <p className="ticket-body">No photos yet. Tires, a broken part, the speed control’s display.</p>
      )}
      {photos.length > 0 && (
        <ul className="photo-row">
          {photos.map((p) => (
            <li key={p.id}>
              <PhotoThumb
                meetingId={meetingId}
                photo={p}
                outgoing={outgoing}
                onPress={() => setShown(p.id)}
              />
            </li>
          ))}
        </ul>
      )}
      {may && <AddPhotos meetingId={meetingId} runId={runId} left={PHOTOS_PER_RUN - photos.length} />}
      {open && (
        <PhotoDialog meetingId={meetingId} photo={open} outgoing={outgoing} onClose={() => setShown(null)} />
      )}
    </Ticket>
  )
}

function AddPhotos({ meetingId, runId, left }: { meetingId: string; runId: string; left: number }) {
  const id = useId()
  const input = useRef<HTMLInputElement>(null)
  const view = useBoard()
  const client = useSyncClient()
  const toasts = useToasts()
  const online = useSyncPart((s) => s.online)
  const [busy, setBusy] = useState(0)
  const add = async (file: File) => {
    const shrunk = await shrinkPhoto(file)
    if (!shrunk.ok) return toasts.refused(shrunk.error)
    const { photo, thumb } = shrunk.value
    const { hash, type, width, height } = photo
    const picture: PictureFacts = {
      hash,
      thumb: thumb.hash,
      type,
      width,
      height,
      bytes: photo.data.byteLength,
    }
    let added: string[]
    try {
      added = await theShelf().add({ meetingId, runId }, hash, [photo, thumb])
    } catch {
      return toasts.refused(NO_ROOM)
    }
    // This phone had lost it, or the server had refused it: the board knows it already, and only its bytes have to go.
    if (added.length > 0 && photosOf(view, runId).some((p) => p.picture?.v?.hash === hash))
      return toasts.say('Photo added again')
    // The page may have been left meanwhile, or the board begun anew: the edit goes to the meeting wherever it is open.
    const room = formatRoomName({ kind: 'meeting', meetingId })
    const done = (await client?.editIn(room, (ctx) => addPhoto(ctx, { runId, picture }))) ?? NOT_NOW
    if (done.ok) return
    toasts.refused(done.error)
    await theShelf().drop(meetingId, added)
  }
  const addAll = async (files: File[]) => {
    setBusy(files.length)
    try {
      for (const file of files) {
        await add(file)
        setBusy((n) => n - 1)
      }
    } catch {
      toasts.refused(NO_ROOM)
    } finally {
      setBusy(0)
    }
  }
  return (
    // Busy: no reload takes a picture away that is being made smaller.
    <div className="ticket-body no-print" aria-busy={busy > 0}>
      <input
        ref={input}
        id={id}
        type="file"
        accept="image/*"
        multiple
        className="visually-hidden"
        tabIndex={-1}
        aria-label="Choose photos"
        onChange={(e) => {
          const files = [...(e.target.files ?? [])]
          // The same file may be chosen again.
          e.target.value = ''
          void addAll(files)
        }}
      />
      <Button isDisabled={left <= 0 || busy > 0} onPress={() => input.current?.click()}>
        {busy > 1 ? `Shrinking ${busy} photos` : busy === 1 ? 'Shrinking the photo' : 'Add a photo'}
      </Button>
      <p className="small">
        {left <= 0
          ? 'Remove one to add another.'
          : online
            ? 'Only the crew sees it. Location and camera details are removed.'
            : 'No connection: it stays on this phone and is sent later.'}
      </p>
    </div>
  )
}
