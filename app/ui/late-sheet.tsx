'use client'
import { lazy, Suspense, useState, type ComponentType, type ReactNode } from 'react'
import { LatePart } from './late-part'
import { loadAhead } from './load-ahead'

/** Either always there and opened, or there only while it is open. */
type SheetProps = { isOpen: boolean; onOpenChange: (open: boolean) => void } | { onClose: () => void }

/** A sheet whose script is loaded ahead, and which reads nothing of the board until it is asked for the first time. */
export function lateSheet<P extends SheetProps>(
  load: () => Promise<ComponentType<P>>,
): (props: P) => ReactNode {
  const part = loadAhead(() => load().then((sheet) => ({ default: sheet })))
  const Sheet: ComponentType<P> = lazy(part)
  return function LateSheet(props) {
    const [used, setUsed] = useState(false)
    const how: SheetProps = props
    const isOpen = 'onClose' in how || how.isOpen
    if (isOpen && !used) setUsed(true)
    if (!used && !isOpen) return null
    const close = () => ('onClose' in how ? how.onClose() : how.onOpenChange(false))
    return (
      <Suspense fallback={isOpen && <LatePart part={part} onClose={close} />}>
        <Sheet {...props} />
      </Suspense>
    )
  }
}
