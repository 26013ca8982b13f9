'use client'
import { Button } from '@/app/ui/button'
import { Ticket, TicketBody } from '@/app/ui/ticket'
import { useCallsSetting } from './calls-setting'
import { turnOff, turnOn } from './turn-calls'

/** Asked once on each phone; what was answered can be changed behind one's name. */
export function CallsAsk() {
  if (useCallsSetting() !== null) return null
  return (
    <Ticket tone="calm" label="Calls on this phone">
      <TicketBody>
        <p>
          <b>Alert you on this phone?</b> Sound and vibration 10, 5 and 2 min before your calls, and when a
          job lands on you.
        </p>
        <div className="btn-row">
          <Button onPress={turnOff}>Not this phone</Button>
          <Button look="do" onPress={turnOn}>
            Yes, alert me
          </Button>
        </div>
      </TicketBody>
    </Ticket>
  )
}
