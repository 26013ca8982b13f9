'use client'
import { useEffect, useState } from 'react'
import { keeping, type Keeping } from '@/app/sync/keep-storage'
import { Ticket, TicketBody, TicketHead } from '@/app/ui'

const KEEPING_WORDS: Record<Keeping, string> = {
  kept: 'This browser keeps its copy of the board until you clear it.',
  'may-be-cleared':
    'This browser may clear its copy when the phone runs out of space; some do after seven days without a visit. What is saved on the server is safe.',
  'not-said': 'This browser does not say whether it keeps its copy. What is saved on the server is safe.',
}

/** What a phone can do for whoever carries it, and what it can't. */
export function PhoneHelp() {
  const [kept, setKept] = useState<Keeping | null>(null)
  useEffect(() => {
    let gone = false
    void keeping().then((k) => !gone && setKept(k))
    return () => {
      gone = true
    }
  }, [])
  return (
    <Ticket>
      <TicketHead title="Your phone" />
      <TicketBody>
        <p>
          <b>Calls.</b> Tap your name to turn them on. The phone then sounds and vibrates 10, 5 and 2 min
          before your calls and when a job lands on you, as long as this page is open. Turn the volume up: a
          muted phone makes no sound. iPhones do not vibrate for a web page.
        </p>
        <p>
          <b>With the screen off or the browser closed</b> the board can’t alert a phone. Subscribe to your
          calendar under Duties: the phone’s own calendar rings 10 and 2 min before, as of its last sync, if
          your phone keeps a subscribed calendar’s alerts.
        </p>
        <p>
          <b>Awake.</b> Staging and the pit wall keep the screen on, where the board is opened over HTTPS and
          the battery is not low.
        </p>
        <p>
          <b>As an app.</b> Over HTTPS the browser’s menu offers to install the board or to add it to the home
          screen. It then opens where your work is, and with Calls on its icon shows how many jobs you have,
          where the phone can.
        </p>
        {kept && <p>{KEEPING_WORDS[kept]}</p>}
      </TicketBody>
    </Ticket>
  )
}
