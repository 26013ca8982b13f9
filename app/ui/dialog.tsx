'use client'
import { lazy, Suspense, useState, type ReactNode } from 'react'
import { Button } from './button'
import { LatePart } from './late-part'
import { loadAhead } from './load-ahead'

export interface DialogProps {
  title: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
  tone?: 'plain' | 'hot'
  /** Buttons at the foot, the act last. */
  acts?: (close: () => void) => ReactNode
  children: ReactNode
  role?: 'dialog' | 'alertdialog'
}

// No page opens with a sheet.
const sheet = loadAhead(() => import('./sheet'))
const Sheet = lazy(sheet)

/** A modal sheet: rises from the thumb's edge on a phone, hangs from the top on a laptop. Escape and the scrim close it. */
export function Dialog(props: DialogProps) {
  const [used, setUsed] = useState(false)
  if (props.isOpen && !used) setUsed(true)
  if (!used && !props.isOpen) return null
  return (
    <Suspense fallback={props.isOpen && <LatePart part={sheet} onClose={() => props.onOpenChange(false)} />}>
      <Sheet {...props} />
    </Suspense>
  )
}

export interface ConfirmProps {
  title: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
  /** The act's own words, as in `Revoke this phone`; never just “OK”. */
  act: string
  onConfirm: () => void
  hot?: boolean
  children: ReactNode
}

/** Asks before something that undo can't take back. */
export function Confirm({
  title,
  isOpen,
  onOpenChange,
  act,
  onConfirm,
  hot = false,
  children,
}: ConfirmProps) {
  return (
    <Dialog
      title={title}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      tone={hot ? 'hot' : 'plain'}
      role="alertdialog"
      acts={(close) => (
        <>
          <Button onPress={close}>Cancel</Button>
          <Button
            look={hot ? 'hot' : 'do'}
            onPress={() => {
              close()
              onConfirm()
            }}
          >
            {act}
          </Button>
        </>
      )}
    >
      {children}
    </Dialog>
  )
}
