'use client'
import type { ReactNode } from 'react'
import type { Refusal } from '@/lib/core/result'
import { Ticket, TicketBody, TicketHead } from './ticket'

interface PanelProps {
  title: string
  children: ReactNode
  /** What to do next: buttons or links. */
  acts?: ReactNode
  level?: 1 | 2
}

/** Nothing here yet, and how that changes. */
export function Empty({ title, children, acts, level = 2 }: PanelProps) {
  return (
    <Ticket>
      <TicketHead title={title} level={level} />
      <TicketBody>
        <div>{children}</div>
        {acts && <div className="btn-row">{acts}</div>}
      </TicketBody>
    </Ticket>
  )
}

/** Something is on its way. Says what, so that a long wait can be judged. */
export function Loading({ what, children }: { what: string; children?: ReactNode }) {
  return (
    <div className="page" role="status">
      <Ticket>
        <TicketBody>
          <p className="font-semibold">{what}</p>
          {children && <div className="small">{children}</div>}
        </TicketBody>
      </Ticket>
    </div>
  )
}

/** This place needs the network and there is none. */
export function Offline({
  title = 'No connection to the board’s server',
  children,
  acts,
  level = 2,
}: Partial<PanelProps>) {
  return (
    <Ticket tone="hot">
      <TicketHead title={title} level={level} />
      <TicketBody>
        <div>
          {children ?? (
            <p>
              Stay near the pit’s Wi-Fi, or ask whoever runs the board for its address. Your changes are saved
              on this phone and will be sent.
            </p>
          )}
        </div>
        {acts && <div className="btn-row">{acts}</div>}
      </TicketBody>
    </Ticket>
  )
}

/** The field, the value, the reason and the remedy of a refusal: four things, always in this order. */
export function RefusalText({ refusal }: { refusal: Refusal }) {
  return (
    <>
      <b>
        {refusal.field}
        {refusal.value !== '' && <> “{refusal.value}”</>}
      </b>
      : {refusal.reason}. {refusal.remedy}
    </>
  )
}

export function Refused({ refusal, acts, level = 2 }: { refusal: Refusal; acts?: ReactNode; level?: 1 | 2 }) {
  return (
    <div role="alert">
      <Ticket tone="hot">
        <TicketHead title="Refused" level={level} />
        <TicketBody>
          <p>
            <RefusalText refusal={refusal} />
          </p>
          {acts && <div className="btn-row">{acts}</div>}
        </TicketBody>
      </Ticket>
    </div>
  )
}

/** Something broke that should not have. */
export function Failed({ title = 'This screen broke', children, acts, level = 2 }: Partial<PanelProps>) {
  return (
    <div role="alert">
      <Ticket tone="hot">
        <TicketHead title={title} level={level} />
        <TicketBody>
          <div>
            {children ?? (
              <p>
                Nothing you entered is lost; it is saved on this phone. Try again. If it breaks again, reload
                the page.
              </p>
            )}
          </div>
          {acts && <div className="btn-row">{acts}</div>}
        </TicketBody>
      </Ticket>
    </div>
  )
}
