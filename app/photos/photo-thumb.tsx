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

const AWAY = {
  loading: '…',
  missing: 'Still on the phone that took it',
  down: 'Not on this phone',
} as const

/** A photo, small, with its mark: only on this phone, or saved on the server. */
export function PhotoThumb({ meetingId, photo, outgoing, onPress }: PhotoProps & { onPress: () => void }) {
  const facts = photo.picture?.v
  const online = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  const picture = usePicture(meetingId, facts?.thumb, online)
  const word = useMark('meeting', 'photos', photo.id, 'picture')
  const { waits, refused } = outgoingOf(outgoing, generation, meetingId, facts ?? { hash: '', thumb: '' })
  const name = photo.caption || 'Photo'
  return (
    <AriaButton className="photo" onPress={onPress} aria-label={`Open: ${name}`}>
      <span className="photo-frame">
        {picture.state === 'here' ? (
          <img src={picture.url} alt="" />
        ) : (
          <span className="small">{AWAY[picture.state]}</span>
        )}
      </span>
      <span className="photo-foot">
        {refused ? (
          <b className="text-hot">Refused</b>
        ) : waits || picture.state === 'here' ? (
          <MarkShape mark={waits ? 'phone' : word} />
        ) : null}
        {photo.caption && <span className="small">{photo.caption}</span>}
      </span>
    </AriaButton>
  )
}
