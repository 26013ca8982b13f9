'use client'
import { Button as AriaButton } from 'react-aria-components'
import type { MeetingRecord } from '@/lib/board'
import { useMark, useSyncPart } from '@/app/sync'
import { MarkShape } from '@/app/ui'
import { outgoingOf } from './photo-mark'
import type { Outgoing } from './photo-shelf'
import { usePicture } from './use-picture'

export interface PhotoProps {
  meetingId: string
  photo: MeetingRecord<'photos'>
  outgoing: readonly Outgoing[] | null
}

/** A photo, small, with its mark: only on this phone, or saved on the server. */
export function PhotoThumb({ meetingId, photo, outgoing, onPress }: PhotoProps & { onPress: () => void }) {
  const facts = photo.picture?.v
  const online = useSyncPart((s) => s.online)
  const picture = usePicture(meetingId, facts?.thumb ?? '', online)
  const word = useMark('meeting', 'photos', photo.id, 'picture')
  const { waits, refused } = outgoingOf(outgoing, meetingId, facts ?? { hash: '', thumb: '' })
  const name = photo.caption || 'Photo'
  return (
    <AriaButton className="photo" onPress={onPress} aria-label={`Open: ${name}`}>
      <span className="photo-frame">
        {picture.state === 'here' ? (
          <img src={picture.url} alt="" />
        ) : (
          <span className="small">
            {picture.state === 'loading' ? '…' : online ? 'Not on the server yet' : 'Not on this phone'}
          </span>
        )}
      </span>
      <span className="photo-foot">
        {refused ? <b className="text-hot">Refused</b> : <MarkShape mark={waits ? 'phone' : word} />}
        {photo.caption && <span className="small">{photo.caption}</span>}
      </span>
    </AriaButton>
  )
}
