'use client'
import { useEffect, useState } from 'react'
import { theShelf } from './shelf'

export type PictureState =
  | { state: 'loading' }
  | { state: 'here'; url: string }
  /** Neither this phone nor the server has it: it is still on somebody else's. */
  | { state: 'missing' }
  /** Not on this phone, and the server can't give it now. */
  | { state: 'down' }

/** A picture may be on its way from somebody else's phone: it is asked for again, first after so many ms, then ever less often. */
const AGAIN_MS = 2_000
const RAREST_MS = 30_000

/** A picture to show, from this phone or the server. `online`: whether the server can be asked. */
export function usePicture(meetingId: string, hash: string | undefined, online: boolean): PictureState {
  const [picture, setPicture] = useState<PictureState>({ state: 'loading' })
  useEffect(() => {
    if (hash === undefined) return setPicture({ state: 'missing' })
    let url: string | null = null
    let isShown = true
    let timer: ReturnType<typeof setTimeout>
    const look = async (again: number) => {
      const found = await theShelf()
        .picture(meetingId, hash)
        .catch(() => 'down' as const)
      if (!isShown) return
      if (typeof found !== 'string') {
        url = URL.createObjectURL(found)
        return setPicture({ state: 'here', url })
      }
      setPicture({ state: found })
      if (online) timer = setTimeout(() => void look(Math.min(2 * again, RAREST_MS)), again)
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
