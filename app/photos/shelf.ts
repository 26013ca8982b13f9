'use client'
import { photoLine } from './photo-line'
import { PhotoShelf } from './photo-shelf'

let shelf: PhotoShelf | null = null

/** This page's shelf, opened when somebody first asks for it. */
export const theShelf = (): PhotoShelf => (shelf ??= new PhotoShelf(photoLine, () => Date.now()))
