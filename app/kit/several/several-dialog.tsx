'use client'
import type { KitCollection } from '@/lib/board'
import { present } from '@/lib/core/assert'
import { Dialog } from '@/app/ui'
import { AddSeveral, type AddSeveralProps } from './add-several'
import { SEVERAL } from './examples'

/** The same in a dialog, for lists that hang on a record and for copies. */
export function SeveralDialog({
  title,
  collection,
  isOpen,
  onOpenChange,
  ...rest
}: Pick<AddSeveralProps, 'one' | 'fixed' | 'like' | 'initial'> & {
  collection: KitCollection
  title?: string
  example?: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const words = present(SEVERAL[collection], `words for several of ${collection}`)
  return (
    <Dialog title={title ?? `Add ${words.many}`} isOpen={isOpen} onOpenChange={onOpenChange}>
      <div className="-mx-[var(--gutter)]">
        <AddSeveral collection={collection} {...words} {...rest} onDone={() => onOpenChange(false)} />
      </div>
    </Dialog>
  )
}
