'use client'
import { useState, type ReactNode } from 'react'
import { Dialog } from './dialog'

/** Help where a stranger would stop: opened by a press, never by hovering, closed by Escape or a press elsewhere. */
export function HelpNote({ about, children }: { about: string; children: ReactNode }) {
  const [open, setOpen] = useState(false)
  return (
    <>
      <button
        type="button"
        className="btn btn-quiet"
        aria-label={`Help: ${about}`}
        aria-haspopup="dialog"
        onClick={() => setOpen(true)}
      >
        <span aria-hidden="true" className="num">
          ?
        </span>
      </button>
      <Dialog title={about} isOpen={open} onOpenChange={setOpen}>
        <div>{children}</div>
      </Dialog>
    </>
  )
}
