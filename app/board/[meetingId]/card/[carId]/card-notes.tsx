'use client'
import { NotesAbout } from '@/app/meeting/notes-about'
import { Ticket, TicketHead } from '@/app/ui'

/** Notes on the car. */
export function CardNotes({ carId }: { carId: string }) {
  return (
    <Ticket id="notes" label="Notes">
      <TicketHead title="Notes" />
      <NotesAbout about={`car:${carId}`} label="New note" />
    </Ticket>
  )
}
