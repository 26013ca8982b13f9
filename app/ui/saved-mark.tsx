'use client'
import type { DocKind } from '@/lib/board'
import { useMark } from '../sync/hooks'
import type { Mark } from '../sync/pending-keys'

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

/** The shape alone: a hollow phone while the value is only here, a filled bar once it is on the server. */
export function MarkShape({ mark }: { mark: Mark }) {
  const phone = mark === 'phone'
  return (
    <span className="saved-mark" data-mark={mark}>
      <svg width="10" height="12" viewBox="0 0 10 12" aria-hidden="true">
        {phone ? (
          <>
            <rect x="1.5" y="1" width="7" height="10" fill="none" stroke="currentColor" strokeWidth="1.75" />
            <path d="M4 9h2" stroke="currentColor" strokeWidth="1.25" />
          </>
        ) : (
          <rect x="1" y="8" width="8" height="3" fill="currentColor" />
        )}
      </svg>
      <span className={phone ? undefined : 'visually-hidden'}>
        {phone ? 'this phone' : 'saved on the server'}
      </span>
    </span>
  )
}
