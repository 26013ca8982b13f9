'use client'
import { useSyncExternalStore } from 'react'
import type { Part } from './load-ahead'

/** Shown while a part of the page does not come: without network, or because the server has another build by now. */
export const LATE_WORDS = 'Waiting for the network. If it is there, reload the page.'

export const useIsLate = (part: Pick<Part<unknown>, 'isLate' | 'watch'>): boolean =>
  useSyncExternalStore(part.watch, part.isLate, () => false)

/** In the place of a sheet or a list that was asked for: nothing at first, then why it does not come. `onClose`: it is not wanted any more. */
export function LatePart({
  part,
  onClose,
}: {
  part: Pick<Part<unknown>, 'isLate' | 'watch'>
  onClose: () => void
}) {
  const isLate = useIsLate(part)
  return (
    isLate && (
      <div className="toasts late-part" role="status">
        <div className="toast">
          <span>{LATE_WORDS}</span>
          <span className="btn-row">
            <button type="button" className="btn" onClick={() => location.reload()}>
              Reload
            </button>
            <button type="button" className="btn" onClick={onClose}>
              Close
            </button>
          </span>
        </div>
      </div>
    )
  )
}

/** In the place of a part that stands in the page itself: nothing while it comes, then why it does not. */
export function LateLine({ part }: { part: Pick<Part<unknown>, 'isLate' | 'watch'> }) {
  return (
    useIsLate(part) && (
      <p className="small late-line" role="status">
        {LATE_WORDS}
      </p>
    )
  )
}
