'use client'
import dynamic from 'next/dynamic'

/** The sender, loaded once the page stands: nobody waits for it. */
export const PhotoSenderLater = dynamic(() => import('./photo-sender').then((m) => m.PhotoSender), {
  ssr: false,
})
