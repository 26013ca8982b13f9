'use client'
import { useState } from 'react'
import { canWrite, changeRecord, removeRecord } from '@/lib/board'
import { useAct, useBoard, useEditContext, useNow, useSyncPart } from '@/app/sync'
import { Button, Dialog, FormField, RefusalText, whenText } from '@/app/ui'
import { outgoingOf } from './photo-mark'
import type { PhotoProps } from './photo-thumb'
import { usePicture } from './use-picture'

const AWAY = {
  loading: 'Loading the photo',
  missing: 'The phone that took it has not sent it yet.',
  down: 'It is not on this phone, and the server can’t give it right now.',
} as const

/** A photo in full, who took it and when, what it shows, and the way to take it off the run. */
export function PhotoDialog({ meetingId, photo, outgoing, onClose }: PhotoProps & { onClose: () => void }) {
  const facts = photo.picture?.v
  const act = useAct()
  const ctx = useEditContext()
  const view = useBoard()
  const now = useNow(10_000)
  const online = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  const picture = usePicture(meetingId, facts?.hash, online)
  const [caption, setCaption] = useState(photo.caption ?? '')
  const may = canWrite(ctx, 'meeting', 'photos', photo.id, 'caption')
  const { refused } = outgoingOf(outgoing, generation, meetingId, facts ?? { hash: '', thumb: '' })
  const save = () => {
    if (caption.trim() !== (photo.caption ?? ''))
      act((c) => changeRecord(c, 'meeting', 'photos', photo.id, { caption: caption.trim() }), 'Caption saved')
  }
  return (
    <Dialog
      title={photo.caption || 'Photo'}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={
        may
          ? (close) => (
              <>
                <Button
                  look="hot"
                  onPress={() => {
                    act((c) => removeRecord(c, 'meeting', 'photos', photo.id), 'Photo removed')
                    close()
                  }}
                >
                  Remove the photo
                </Button>
                <Button
                  look="do"
                  onPress={() => {
                    save()
                    close()
                  }}
                >
                  Save the caption
                </Button>
              </>
            )
          : undefined
      }
    >
      <div className="photo-full" style={{ aspectRatio: `${facts?.width ?? 4} / ${facts?.height ?? 3}` }}>
        {picture.state === 'here' ? (
          <img src={picture.url} alt={photo.caption || 'Photo without a caption'} />
        ) : (
          <p>{AWAY[picture.state]}</p>
        )}
      </div>
      {refused && (
        <p className="text-hot" role="status">
          <RefusalText refusal={refused} />
        </p>
      )}
      <p className="small">
        {view.people.get(photo.picture?.by)?.name ?? 'Somebody'}, {whenText(photo.picture?.at ?? 0, now)}
      </p>
      {may && <FormField label="What it shows" value={caption} onChange={setCaption} maxLength={200} />}
    </Dialog>
  )
}
