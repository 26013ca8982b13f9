'use client'
import type { DocKind } from '@/lib/board'
import { MarkShape } from '@/app/ui/mark-shape'
import { useMark } from './hooks'

export interface SavedMarkProps {
  doc: DocKind
  collection: string
  recordId: string
  /** One field, or several that make up what is shown: one unsaved field marks the whole. */
  field: string | readonly string[]
}

/** Whether a value is only on this phone or saved on the server. Quiet once saved. */
export function SavedMark({ doc, collection, recordId, field }: SavedMarkProps) {
  return <MarkShape mark={useMark(doc, collection, recordId, field)} />
}
