'use client'
import { tabDoorbell } from '@/app/sync/tab-doorbell'
import { photoLine } from './photo-line'
import { PhotoShelf } from './photo-shelf'

let shelf: PhotoShelf | null = null

/** This page's shelf, opened when somebody first asks for it. */
export const theShelf = (): PhotoShelf =>
  (shelf ??= new PhotoShelf({ line: photoLine, now: () => Date.now(), bell: tabDoorbell() }))
