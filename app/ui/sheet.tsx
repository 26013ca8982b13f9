'use client'
import { Dialog as AriaDialog, Heading, Modal, ModalOverlay } from 'react-aria-components'
import { AriaRoot } from './aria-root'
import { Button } from './button'
import type { DialogProps } from './dialog'
import { DialogNews } from './toasts'

/** What `Dialog` shows, by the component library: focus kept inside and given back, the page behind it out of reach. */
export default function Sheet({
  title,
  isOpen,
  onOpenChange,
  tone = 'plain',
  acts,
  children,
  role = 'dialog',
}: DialogProps) {
  return (
    <AriaRoot>
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
    </AriaRoot>
  )
}
