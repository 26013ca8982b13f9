'use client'
import { useEffect, useState } from 'react'
import { theShelf } from './shelf'

export type PictureState =
  | { state: 'loading' }
  | { state: 'here'; url: string }
  /** Neither this phone nor the server has it, or the server can't be reached. */
  | { state: 'away' }

/** A picture may be on its way from somebody else's phone: it is asked for again, first after so many ms, then ever less often. */
const AGAIN_MS = 2_000
const RAREST_MS = 30_000

/** A picture to show, from this phone or the server. `online`: whether the server can be asked. */
export function usePicture(meetingId: string, hash: string, online: boolean): PictureState {
  const [picture, setPicture] = useState<PictureState>({ state: 'loading' })
  useEffect(() => {
    let url: string | null = null
    let isShown = true
    let timer: ReturnType<typeof setTimeout>
    const look = async (again: number) => {
      const blob = await theShelf()
        .picture(meetingId, hash)
        .catch(() => null)
      if (!isShown) return
      url = blob && URL.createObjectURL(blob)
      setPicture(url === null ? { state: 'away' } : { state: 'here', url })
      if (url === null && online) timer = setTimeout(() => void look(Math.min(2 * again, RAREST_MS)), again)
    }
    void look(AGAIN_MS)
    return () => {
      isShown = false
      clearTimeout(timer)
      if (url !== null) URL.revokeObjectURL(url)
    }
  }, [meetingId, hash, online])
  return picture
}
