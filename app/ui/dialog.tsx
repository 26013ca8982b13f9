'use client'
import type { ReactNode } from 'react'
import { Dialog as AriaDialog, Heading, Modal, ModalOverlay } from 'react-aria-components'
import { Button } from './button'
import { DialogNews } from './toasts'

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

/** A modal sheet: rises from the thumb's edge on a phone, hangs from the top on a laptop. Escape and the scrim close it. */
export function Dialog({
  title,
  isOpen,
  onOpenChange,
  tone = 'plain',
  acts,
  children,
  role = 'dialog',
}: DialogProps) {
  return (
    <ModalOverlay
      className="overlay"
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      isDismissable={role === 'dialog'}
    >
      <Modal className={tone === 'hot' ? 'sheet sheet-hot' : 'sheet'}>
        <AriaDialog role={role}>
          {({ close }) => (
            <>
              <div className="sheet-head">
                <Heading slot="title" level={2}>
                  {title}
                </Heading>
                <Button look="quiet" onPress={close}>
                  Close
                </Button>
              </div>
              <DialogNews />
              <div className="sheet-body">{children}</div>
              {acts && <div className="sheet-acts">{acts(close)}</div>}
            </>
          )}
        </AriaDialog>
      </Modal>
    </ModalOverlay>
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
