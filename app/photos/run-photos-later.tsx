'use client'
import dynamic from 'next/dynamic'

/** A run's photos, loaded once the page around them stands. */
export const RunPhotosLater = dynamic(() => import('./run-photos').then((m) => m.RunPhotos), { ssr: false })
