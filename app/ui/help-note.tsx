'use client'
import type { ReactNode } from 'react'
import { Button, Dialog, DialogTrigger, Popover } from 'react-aria-components'

/** Help where a stranger would stop: opened by a press, never by hovering, closed by Escape or a press elsewhere. */
export function HelpNote({ about, children }: { about: string; children: ReactNode }) {
  return (
    <DialogTrigger>
      <Button className="btn btn-quiet" aria-label={`Help: ${about}`}>
        <span aria-hidden="true" className="num">
          ?
        </span>
      </Button>
      <Popover className="popover" placement="bottom start">
        <Dialog aria-label={about} className="p-4 grid gap-2 outline-none">
          <p className="font-semibold">{about}</p>
          <div className="small">{children}</div>
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
